#pragma once
// Random numbers that are the same on every machine and library: the standard fixes its engines but not its
// distributions. One seed, made from the names of suite, test and case, reproduces a failure.

#include <cmath>
#include <cstdint>
#include <numbers>
#include <string_view>

namespace batten::support {

class Random {
 public:
  explicit Random(std::uint64_t seed) : state_(seed) {}
  /// Seed from names (FNV-1a, 64 bit: http://www.isthe.com/chongo/tech/comp/fnv/).
  Random(std::string_view suite, std::string_view test, std::uint64_t case_number = 0)
      : state_(14695981039346656037ull) {
    for (const std::string_view name : {suite, std::string_view("/"), test})
      for (const char c : name) state_ = (state_ ^ std::uint8_t(c)) * 1099511628211ull;
    state_ = (state_ ^ case_number) * 1099511628211ull;
  }

  /// SplitMix64 (Steele, Lea, Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014).
  std::uint64_t bits() {
    std::uint64_t z = state_ += 0x9e3779b97f4a7c15ull;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ull;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebull;
    return z ^ (z >> 31);
  }
  double uniform() { return double(bits() >> 11) * 0x1p-53; }  ///< 0 <= x < 1
  double uniform(double low, double high) { return low + (high - low) * uniform(); }
  /// Normal by Box and Muller, 1958; one of the pair is thrown away to keep the generator without memory.
  double normal(double sigma = 1) {
    const double u = 1 - uniform(), v = uniform();
    return sigma * std::sqrt(-2 * std::log(u)) * std::cos(2 * std::numbers::pi * v);
  }
  int below(int n) { return int(uniform() * n); }
  Random fork() { return Random(bits()); }

 private:
  std::uint64_t state_;
};

}  // namespace batten::support
