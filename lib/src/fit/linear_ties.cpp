#include "fit/linear_ties.h"

#include <Eigen/SparseCholesky>
#include <algorithm>
#include <cmath>
#include <map>
#include <set>

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

std::vector<TiedScalars::Part> TiedScalars::parts(std::size_t scalar) const {
  const auto sum = sums.find(scalar);
  return sum == sums.end() ? std::vector<Part>{{scalar, 1}} : sum->second;
}

TiedScalars eliminate(const std::vector<Tie>& ties) {
  TiedScalars out;
  std::map<std::size_t, std::set<std::size_t>> users;  // of a free scalar: the others that are written with it
  for (const Tie& t : ties) {
    Sum sum;
    for (const auto& [scalar, factor] : t.terms)
      for (const auto& p : out.parts(scalar)) add(&sum, p.free, factor * p.factor);
    if (sum.empty()) continue;
    const auto pivot = pivot_of(sum);
    const std::size_t given_up = pivot->first;
    const double by = pivot->second;
    sum.erase(given_up);
    out.sums[given_up] = {{given_up, 1}};
    std::set<std::size_t> concerned = std::move(users[given_up]);
    users.erase(given_up);
    concerned.insert(given_up);
    for (const std::size_t scalar : concerned) {
      Sum s = sum_of(out.sums[scalar]);
      const auto it = s.find(given_up);
      if (it == s.end()) continue;
      const double factor = it->second;
      s.erase(it);
      for (const auto& [free, f] : sum) add(&s, free, -factor * f / by);
      out.sums[scalar] = parts_of(s);
      for (const auto& p : out.sums[scalar]) users[p.free].insert(scalar);
    }
  }
  return out;
}

double value_of(const TiedScalars& tied, std::size_t scalar, const std::vector<double>& values) {
  const auto sum = tied.sums.find(scalar);
  if (sum == tied.sums.end()) return values[scalar];
  double v = 0;
  for (const auto& p : sum->second) v += p.factor * values[p.free];
  return v;
}

std::vector<double> nearest_tied(const TiedScalars& tied, const std::vector<double>& wanted,
                                 const std::vector<double>& weights) {
  // Only sums, and what they are made of, have to give way.
  std::map<std::size_t, int> column;
  for (const auto& [scalar, parts] : tied.sums)
    for (const auto& p : parts) column.emplace(p.free, 0);
  int columns = 0;
  for (auto& [free, number] : column) number = columns++;
  std::vector<Eigen::Triplet<double>> entries;
  Eigen::VectorXd right = Eigen::VectorXd::Zero(columns);
  const auto add_row = [&](std::size_t scalar, const std::vector<TiedScalars::Part>& parts) {
    for (const auto& p : parts) {
      right[column[p.free]] += weights[scalar] * p.factor * wanted[scalar];
      for (const auto& q : parts)
        entries.emplace_back(column[p.free], column[q.free], weights[scalar] * p.factor * q.factor);
    }
  };
  for (const auto& [free, number] : column) add_row(free, {{free, 1}});
  for (const auto& [scalar, parts] : tied.sums) add_row(scalar, parts);
  Eigen::SparseMatrix<double> normal(columns, columns);
  normal.setFromTriplets(entries.begin(), entries.end());
  const Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> solver(normal);
  std::vector<double> out = wanted;
  if (columns == 0) return out;
  const Eigen::VectorXd values = solver.solve(right);
  for (const auto& [free, number] : column) out[free] = values[number];
  for (const auto& [scalar, parts] : tied.sums) out[scalar] = value_of(tied, scalar, out);
  return out;
}

}  // namespace batten
