#include "fit/linear_ties.h"

#include <Eigen/SparseCholesky>
#include <algorithm>
#include <cmath>
#include <map>

namespace batten {
namespace {

constexpr double nothing = 1e-9;  // factors of real ties are sines, slopes and whole numbers

using Sum = std::map<std::size_t, double>;

void add(Sum* sum, std::size_t scalar, double factor) {
  double& f = (*sum)[scalar];
  f += factor;
  if (std::abs(f) < nothing) sum->erase(scalar);
}

Sum sum_of(const std::vector<TiedScalars::Part>& parts) {
  Sum s;
  for (const auto& p : parts) s[p.free] = p.factor;
  return s;
}

std::vector<TiedScalars::Part> parts_of(const Sum& sum) {
  std::vector<TiedScalars::Part> parts;
  for (const auto& [free, factor] : sum) parts.push_back({free, factor});
  return parts;
}

// The scalar to give up: the last with the smallest factor, which is +-1 for whole ties.
Sum::const_iterator pivot_of(const Sum& sum) {
  auto best = sum.begin();
  for (auto it = sum.begin(); it != sum.end(); ++it)
    if (std::abs(it->second) <= std::abs(best->second) + nothing) best = it;
  return best;
}

}  // namespace

TiedScalars tie(std::size_t count, const std::vector<Tie>& ties) {
  TiedScalars out;
  std::vector<std::vector<std::size_t>> users(count);  // scalars that are written with this free one
  for (std::size_t i = 0; i < count; ++i) out.parts.push_back({{i, 1}}), users[i].push_back(i);
  for (const Tie& t : ties) {
    Sum sum;
    for (const auto& [scalar, factor] : t.terms)
      for (const auto& p : out.parts[scalar]) add(&sum, p.free, factor * p.factor);
    if (sum.empty()) continue;
    const auto pivot = pivot_of(sum);
    const std::size_t given_up = pivot->first;
    const double by = pivot->second;
    sum.erase(given_up);
    const std::vector<std::size_t> touched = std::move(users[given_up]);
    users[given_up].clear();
    for (const std::size_t scalar : touched) {
      Sum s = sum_of(out.parts[scalar]);
      const auto it = s.find(given_up);
      if (it == s.end()) continue;
      const double factor = it->second;
      s.erase(it);
      for (const auto& [free, f] : sum) add(&s, free, -factor * f / by);
      out.parts[scalar] = parts_of(s);
      for (const auto& p : out.parts[scalar])
        if (std::find(users[p.free].begin(), users[p.free].end(), scalar) == users[p.free].end())
          users[p.free].push_back(scalar);
    }
  }
  return out;
}

double value_of(const TiedScalars& tied, std::size_t scalar, const std::vector<double>& values) {
  double v = 0;
  for (const auto& p : tied.parts[scalar]) v += p.factor * values[p.free];
  return v;
}

std::vector<double> nearest_tied(const TiedScalars& tied, const std::vector<double>& wanted,
                                 const std::vector<double>& weights) {
  const std::size_t count = wanted.size();
  std::vector<int> column(count, -1);
  int columns = 0;
  for (std::size_t i = 0; i < count; ++i)
    if (tied.is_free(i)) column[i] = columns++;
  std::vector<Eigen::Triplet<double>> entries;
  Eigen::VectorXd right = Eigen::VectorXd::Zero(columns);
  for (std::size_t i = 0; i < count; ++i)
    for (const auto& p : tied.parts[i]) {
      right[column[p.free]] += weights[i] * p.factor * wanted[i];
      for (const auto& q : tied.parts[i])
        entries.emplace_back(column[p.free], column[q.free], weights[i] * p.factor * q.factor);
    }
  Eigen::SparseMatrix<double> normal(columns, columns);
  normal.setFromTriplets(entries.begin(), entries.end());
  const Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> solver(normal);
  const Eigen::VectorXd free = solver.solve(right);
  std::vector<double> values(count, 0);
  for (std::size_t i = 0; i < count; ++i)
    if (column[i] >= 0) values[i] = free[column[i]];
  std::vector<double> out(count);
  for (std::size_t i = 0; i < count; ++i) out[i] = value_of(tied, i, values);
  return out;
}

}  // namespace batten
