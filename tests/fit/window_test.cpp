#include "fit/window.h"

#include <gtest/gtest.h>

namespace batten {
namespace {

DraftLoop ring(std::size_t size) {
  DraftLoop d;
  d.nodes.resize(size), d.segments.resize(size);
  return d;
}

std::vector<std::size_t> indices(const Window& window) {
  std::vector<std::size_t> out;
  for (const std::size_t i : window) out.push_back(i);
  return out;
}

TEST(Window, GoesPastTheLastNodeRoundToTheFirst) {
  const DraftLoop d = ring(5);
  EXPECT_EQ(indices(Window(d, 3, 4)), (std::vector<std::size_t>{3, 4, 0, 1}));
  EXPECT_EQ(indices(Window(d, 8, 2)), (std::vector<std::size_t>{3, 4})) << "any number says where it begins";
  EXPECT_EQ(indices(Window::around(d, 0, 2, 1)), (std::vector<std::size_t>{3, 4, 0, 1}));
  EXPECT_EQ(indices(Window::around(d, 6, 1, 0)), (std::vector<std::size_t>{0, 1}));
  EXPECT_TRUE(indices(Window(d, 2, 0)).empty());
}

TEST(Window, HoldsNoIndexTwice) {
  const DraftLoop d = ring(3);
  EXPECT_EQ(indices(Window::around(d, 0, 3, 3)), (std::vector<std::size_t>{0, 1, 2}));
  EXPECT_EQ(indices(Window::around(d, 1, 2, 2)), (std::vector<std::size_t>{2, 0, 1}));
  EXPECT_EQ(indices(Window::all(d)), (std::vector<std::size_t>{0, 1, 2}));
  EXPECT_EQ(indices(Window(d, 1, 9)), (std::vector<std::size_t>{1, 2, 0}));
}

TEST(Window, FlagsAreOneForEachNode) {
  EXPECT_EQ(Window::around(ring(6), 0, 1, 1).flags(), (std::vector<char>{1, 1, 0, 0, 0, 1}));
  EXPECT_EQ(Window::around(ring(2), 1, 2, 2).flags(), (std::vector<char>{1, 1}));
}

TEST(DraftLoop, StepsRunRoundBothWays) {
  const DraftLoop d = ring(4);
  EXPECT_EQ(d.next(3), 0u);
  EXPECT_EQ(d.previous(0), 3u);
  EXPECT_EQ(d.next(2, 7), 1u);
  EXPECT_EQ(d.previous(1, 6), 3u);
}

}  // namespace
}  // namespace batten
