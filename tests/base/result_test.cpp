// Result of what can only be moved, and of what is dear to copy.

#include <gtest/gtest.h>

#include <memory>
#include <type_traits>
#include <utility>

#include "batten/error.h"

namespace batten {
namespace {

using MoveOnly = Result<std::unique_ptr<int>>;

MoveOnly made(int value) { return std::make_unique<int>(value); }

TEST(Result, WhatCanOnlyBeMovedComesOut) {
  EXPECT_EQ(*made(3).value(), 3);
  const std::unique_ptr<int> taken = *made(4), other = made(5).value();
  EXPECT_EQ(*taken, 4);
  EXPECT_EQ(*other, 5);
  MoveOnly held = made(6);
  const int* at = held->get();
  const std::unique_ptr<int> moved = *std::move(held);
  EXPECT_EQ(moved.get(), at);
  EXPECT_TRUE(held.ok());
  EXPECT_EQ(held.value(), nullptr) << "what was moved from is empty";
}

TEST(Result, OnlyAnRvalueGivesAnRvalue) {
  static_assert(std::is_same_v<decltype(std::declval<MoveOnly&>().value()), std::unique_ptr<int>&>);
  static_assert(std::is_same_v<decltype(*std::declval<const MoveOnly&>()), const std::unique_ptr<int>&>);
  static_assert(std::is_same_v<decltype(std::declval<MoveOnly>().value()), std::unique_ptr<int>&&>);
  static_assert(std::is_same_v<decltype(*std::declval<MoveOnly>()), std::unique_ptr<int>&&>);
  MoveOnly held = made(7);
  const std::unique_ptr<int>& seen = *held;
  EXPECT_EQ(*seen, 7);
  EXPECT_EQ(**held, 7) << "looking at it takes nothing away";
}

TEST(Result, AnErrorHasNoValueToMove) {
  MoveOnly failed = Error{ErrorCode::bad_option, "No.", "here"};
  EXPECT_THROW(std::move(failed).value(), std::bad_variant_access);
  EXPECT_EQ(failed.error().place, "here");
}

TEST(Result, MovingCopiesNothing) {
  struct Counted {
    int* copies;
    explicit Counted(int* at) : copies(at) {}
    Counted(const Counted& other) : copies(other.copies) { ++*copies; }
    Counted(Counted&&) = default;
    Counted& operator=(const Counted&) = delete;
    Counted& operator=(Counted&&) = delete;
  };
  int copies = 0;
  Result<Counted> held = Counted(&copies);
  const Counted moved = std::move(held).value();
  EXPECT_EQ(copies, 0);
  Result<Counted> again = Counted(&copies);
  const Counted copied = again.value();
  EXPECT_EQ(copies, 1);
  EXPECT_EQ(moved.copies, copied.copies);
}

}  // namespace
}  // namespace batten
