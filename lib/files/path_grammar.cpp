#include "path_grammar.h"

#include <charconv>
#include <cmath>

namespace batten {
namespace {

bool is_space(char c) { return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\f'; }

class Reader {
 public:
  explicit Reader(std::string_view data) : whole_(data), rest_(data) {}

  std::vector<PathPart> parts() && { return std::move(parts_); }

  std::vector<Outline> run(bool* sound) {
    std::vector<Outline> out = read(sound);
    if (!parts_.empty() && parts_.back().end == 0) finish_part(out.size());
    return out;
  }

 private:
  std::vector<Outline> read(bool* sound) {
    char command = 0;
    *sound = true;
    while (skip_separators(), !rest_.empty()) {
      const char c = rest_.front();
      if ((c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z')) {
        command = c;
        before_command_ = place();
        rest_.remove_prefix(1);
        if (!begun_ && command != 'M' && command != 'm') return *sound = false, maker_.take();
        if (command == 'z' || command == 'Z') {
          begin_part_if_needed();
          if (maker_.at() != maker_.start()) ++parts_.back().segments;
          maker_.close();
          parts_.back().closed = true;
          finish_part(maker_.finished());
          before_ = 'z';
          command = 0;
          continue;
        }
      }
      if (!step(command)) return *sound = false, maker_.take();
      if (command == 'M') command = 'L';  // further pairs after a move are lines
      if (command == 'm') command = 'l';
    }
    return maker_.take();
  }

  std::size_t place() const { return whole_.size() - rest_.size(); }
  // The part that ends here drew the last outline, or none.
  void finish_part(std::size_t outlines) {
    PathPart& part = parts_.back();
    part.end = place();
    if (outlines > outlines_before_) part.outline = int(outlines) - 1;
    outlines_before_ = outlines;
  }
  // After Z the next subpath may do without a move.
  void begin_part_if_needed() {
    if (!parts_.empty() && parts_.back().end == 0) return;
    parts_.push_back({});
    parts_.back().begin = parts_.back().drawn = before_command_;
    parts_.back().start = maker_.at();
  }
  void begin_part(char line, Point to) {
    const std::size_t here = place();
    if (!parts_.empty() && parts_.back().end == 0) {
      finish_part(maker_.finished());
      parts_.back().end = before_command_;
    }
    parts_.push_back({});
    parts_.back().begin = before_command_, parts_.back().drawn = here;
    parts_.back().line = line, parts_.back().start = to, parts_.back().moves = true;
  }

  void skip_separators() {
    while (!rest_.empty() && (is_space(rest_.front()) || rest_.front() == ',')) rest_.remove_prefix(1);
  }
  bool number(double& value) {
    skip_separators();
    if (!rest_.empty() && rest_.front() == '+') rest_.remove_prefix(1);
    const auto [end, code] = std::from_chars(rest_.data(), rest_.data() + rest_.size(), value);
    if (code != std::errc() || !std::isfinite(value)) return false;
    rest_.remove_prefix(std::size_t(end - rest_.data()));
    return true;
  }
  bool flag(bool& value) {  // one character, which the next number may follow at once
    skip_separators();
    if (rest_.empty() || (rest_.front() != '0' && rest_.front() != '1')) return false;
    value = rest_.front() == '1';
    rest_.remove_prefix(1);
    return true;
  }
  bool point(bool relative, Point& p) {
    if (!number(p.x) || !number(p.y)) return false;
    if (relative) p = p + maker_.at();
    return true;
  }

  void cubic(Point a, Point b, Point to) {
    maker_.curve_to(a, b, to);
    reflected_ = 2 * to - b;
  }
  void quadratic(Point control, Point to) {
    const Point from = maker_.at();
    maker_.curve_to(from + (2.0 / 3) * (control - from), to + (2.0 / 3) * (control - to), to);
    reflected_ = 2 * to - control;
  }
  bool arc(bool relative) {
    double rx, ry, turn;
    bool large, sweep;
    Point to;
    if (!number(rx) || !number(ry) || !number(turn) || !flag(large) || !flag(sweep) || !point(relative, to))
      return false;
    maker_.arc_to(rx, ry, turn, large, sweep, to);
    return true;
  }

  // One set of arguments of a command.
  bool step(char command) {
    const bool relative = command >= 'a';
    const char kind = relative ? char(command - 'a' + 'A') : command;
    const Point from = maker_.at();
    Point a, b, to = from;
    double value;
    const char before = before_;
    before_ = kind;
    if (kind != 'M') {
      begin_part_if_needed();
      ++parts_.back().segments;
    }
    switch (kind) {
      case 'M':
        if (!point(relative, to)) return false;
        begun_ = true;
        maker_.move_to(to);
        begin_part(relative ? 'l' : 'L', to);
        return true;
      case 'L':
        return point(relative, to) && (maker_.line_to(to), true);
      case 'H':
        return number(value) && (maker_.line_to({relative ? from.x + value : value, from.y}), true);
      case 'V':
        return number(value) && (maker_.line_to({from.x, relative ? from.y + value : value}), true);
      case 'C':
        return point(relative, a) && point(relative, b) && point(relative, to) && (cubic(a, b, to), true);
      case 'S':
        return point(relative, b) && point(relative, to) &&
               (cubic(before == 'C' || before == 'S' ? reflected_ : from, b, to), true);
      case 'Q':
        return point(relative, a) && point(relative, to) && (quadratic(a, to), true);
      case 'T':
        return point(relative, to) && (quadratic(before == 'Q' || before == 'T' ? reflected_ : from, to), true);
      case 'A':
        return arc(relative);
      default:
        return false;
    }
  }

  std::string_view whole_, rest_;
  std::size_t before_command_ = 0, outlines_before_ = 0;
  std::vector<PathPart> parts_;
  PathMaker maker_;
  Point reflected_;
  char before_ = 0;
  bool begun_ = false;
};

}  // namespace

std::vector<Outline> read_path(std::string_view data, bool* sound) { return Reader(data).run(sound); }

std::vector<Outline> read_path(std::string_view data, bool* sound, std::vector<PathPart>* parts) {
  Reader reader(data);
  std::vector<Outline> out = reader.run(sound);
  *parts = std::move(reader).parts();
  return out;
}

}  // namespace batten
