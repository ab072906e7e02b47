#pragma once
// What the harnesses share: numbers out of bytes, a file that is no file, and a check that stops the fuzzer.

#include <sys/mman.h>
#include <unistd.h>

#include <bit>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <limits>
#include <string>

#include "batten/convert.h"

namespace batten::fuzz {

/// A promise that is broken ends the run as a crash does.
inline void expect(bool kept, const char* promise) {
  if (kept) return;
  std::fprintf(stderr, "broken promise: %s\n", promise);
  std::abort();
}

/// Takes values from the bytes of one input; zeros once they are used up.
class Input {
 public:
  Input(const std::uint8_t* bytes, std::size_t size) : bytes_(bytes), left_(size) {}
  bool empty() const { return left_ == 0; }
  std::uint8_t byte() {
    if (left_ == 0) return 0;
    --left_;
    return *bytes_++;
  }
  /// 0..n-1.
  int below(int n) { return int((byte() << 8 | byte()) % n); }
  /// Mostly a place on a sheet, in steps; now and then any double at all, not-a-number and infinities among them.
  double number() {
    const std::uint8_t kind = byte();
    if (kind < 0xf0) return (kind * 256 + byte()) / 512.0;  // up to 120 px: what is larger takes longer
    if (kind < 0xf8) {
      constexpr double odd[] = {0,
                                -1,
                                1e-300,
                                1e7,
                                -1e9,
                                1e300,
                                std::numeric_limits<double>::infinity(),
                                std::numeric_limits<double>::quiet_NaN()};
      return odd[kind - 0xf0];
    }
    std::uint64_t bits = 0;
    for (int i = 0; i < 8; ++i) bits = bits << 8 | byte();
    return std::bit_cast<double>(bits);
  }
  Point point() {
    const double x = number();
    return {x, number()};
  }

 private:
  const std::uint8_t* bytes_;
  std::size_t left_;
};

/// The input as a file that can be opened by its path. One file serves all inputs: opening one takes longer than
/// reading a small picture.
class MemoryFile {
 public:
  MemoryFile() : descriptor_(::memfd_create("input", 0)) {}
  ~MemoryFile() { ::close(descriptor_); }
  MemoryFile(const MemoryFile&) = delete;
  std::string path_of(const std::uint8_t* bytes, std::size_t size) const {
    expect(::ftruncate(descriptor_, 0) == 0 && ::pwrite(descriptor_, bytes, size, 0) == ssize_t(size), "memory");
    return "/proc/self/fd/" + std::to_string(descriptor_);
  }

 private:
  int descriptor_;
};

inline bool is_finite(Point p) { return std::isfinite(p.x) && std::isfinite(p.y); }

/// What every drawing that was made keeps, whatever it was made of.
inline void expect_sound(const Conversion& conversion) {
  const auto count = int(conversion.drawing.outlines.size());
  expect(conversion.report.outlines.size() == conversion.drawing.outlines.size(), "a report for each outline");
  std::size_t segments = 0;
  for (const Outline& o : conversion.drawing.outlines) {
    expect(o.nodes.size() >= 2, "an outline has two nodes at least");
    expect(o.parent >= -1 && o.parent < count, "parents are outlines");
    segments += o.segment_count();
    for (const Node& n : o.nodes)
      expect(is_finite(n.at) && is_finite(n.handle_before) && is_finite(n.handle_after), "coordinates are finite");
  }
  expect(segments == conversion.report.segments, "the report counts the segments of the drawing");
  for (const Finding& f : conversion.report.findings) {
    expect(f.outline < count, "findings are about outlines that are there");
    expect(is_finite(f.place) && std::isfinite(f.amount_px), "findings are finite");
    expect(!f.text.empty() && f.text.find('\n') == std::string::npos, "a finding is one sentence");
  }
}

inline void expect_sentence(const Error& error) {
  expect(error.code != ErrorCode::internal, "no input is an error inside");
  expect(!error.message.empty() && error.message.find('\n') == std::string::npos, "an error is one sentence");
}

}  // namespace batten::fuzz
