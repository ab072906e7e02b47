#include "splice_svg.h"

#include <algorithm>
#include <cmath>

#include "batten/write.h"

namespace batten {
namespace {

bool is_blank(char c) { return c == ' ' || c == '\t' || c == '\n' || c == '\r'; }

struct Range {
  std::size_t begin = 0, end = 0;
};

// A start tag in the text.
struct StartTag {
  Range name, attribute, value;  // the attribute's name, and what stands between its quotes
  std::size_t end = 0;           // one beyond its last character
  bool is_empty = false;         // ends in />
};

// Reads the start tag whose name begins at `at`. Empty if it is not what the parser saw there.
std::optional<StartTag> start_tag(const std::string& bytes, std::size_t at, std::string_view name,
                                  std::string_view attribute) {
  if (at == 0 || bytes.compare(at, name.size(), name) != 0 || bytes[at - 1] != '<') return std::nullopt;
  StartTag tag;
  tag.name = {at, at + name.size()};
  std::size_t i = tag.name.end;
  bool found = false;
  const auto skip = [&] {
    while (i < bytes.size() && is_blank(bytes[i])) ++i;
  };
  while (skip(), i < bytes.size()) {
    if (bytes[i] == '>' || bytes.compare(i, 2, "/>") == 0) {
      tag.is_empty = bytes[i] == '/';
      tag.end = i + (tag.is_empty ? 2 : 1);
      return found ? std::optional(tag) : std::nullopt;
    }
    const Range word{i, std::min(bytes.find_first_of("= \t\r\n>/", i), bytes.size())};
    i = word.end;
    skip();
    if (i >= bytes.size() || bytes[i] != '=') return std::nullopt;
    ++i;
    skip();
    if (i >= bytes.size() || (bytes[i] != '"' && bytes[i] != '\'')) return std::nullopt;
    const std::size_t close = bytes.find(bytes[i], i + 1);
    if (close == bytes.npos) return std::nullopt;
    if (!found && bytes.compare(word.begin, word.end - word.begin, attribute) == 0)
      found = true, tag.attribute = word, tag.value = {i + 1, close};
    i = close + 1;
  }
  return std::nullopt;
}

// Numbers with a few decimals, old coordinates with as many as they had.
class Numbers {
 public:
  Numbers(const std::vector<Outline>& old, int decimals) : decimals_(decimals) {
    for (const Outline& o : old)
      for (const Node& n : o.nodes) x_.push_back(n.at.x), y_.push_back(n.at.y);
    std::sort(x_.begin(), x_.end()), std::sort(y_.begin(), y_.end());
  }
  std::string x(double v) const { return text(v, x_); }
  std::string y(double v) const { return text(v, y_); }
  std::string point(Point p) const { return x(p.x) + " " + y(p.y); }

 private:
  std::string text(double v, const std::vector<double>& old) const {
    // The way to the page and back costs digits at the end.
    const double near = 1e-3 * std::pow(10.0, -decimals_);
    const auto at = std::lower_bound(old.begin(), old.end(), v - near);
    if (at == old.end() || *at > v + near) return plain(v, decimals_);
    for (int more = 0; more <= 12 - decimals_; ++more) {
      const double unit = std::pow(10.0, decimals_ + more);
      if (std::abs(std::round(*at * unit) / unit - *at) <= 1e-12 * (1 + std::abs(*at)))
        return plain(*at, decimals_ + more);
    }
    return plain(*at, 12);
  }
  static std::string plain(double v, int decimals) {
    std::string out = decimal(v, decimals);
    if (out.find('.') != out.npos) {
      while (out.back() == '0') out.pop_back();
      if (out.back() == '.') out.pop_back();
    }
    return out == "-0" ? "0" : out;
  }
  std::vector<double> x_, y_;
  int decimals_;
};

std::string data_of(const Outline& o, bool closed, const Numbers& numbers) {
  std::string out = "M" + numbers.point(o.nodes[0].at);
  for (std::size_t i = 0; i < o.segment_count(); ++i) {
    const Cubic c = o.segment(i);
    if (!o.is_straight(i)) {
      out += "C" + numbers.point(c[1]) + " " + numbers.point(c[2]) + " " + numbers.point(c[3]);
      continue;
    }
    if (closed && i + 1 == o.segment_count()) continue;  // Z draws it
    const std::string x = numbers.x(c[3].x), y = numbers.y(c[3].y);
    if (y == numbers.y(c[0].y))
      out += "H" + x;
    else if (x == numbers.x(c[0].x))
      out += "V" + y;
    else
      out += "L" + x + " " + y;
  }
  return closed ? out + "Z" : out;
}

// A part as it was written, but for its beginning where that counts from the end of the part before.
std::string old_data(const std::string& data, const PathPart& part, bool is_first, const Numbers& numbers) {
  const bool stands_alone = part.moves && (is_first || data[part.begin] == 'M');
  if (stands_alone) return data.substr(part.begin, part.end - part.begin);
  std::string rest = data.substr(part.drawn, part.end - part.drawn);
  const std::size_t first = rest.find_first_not_of(" \t\r\n\f,");
  const bool is_number = first != rest.npos && !std::isalpha(static_cast<unsigned char>(rest[first]));
  rest.erase(0, std::min(first, rest.size()));
  return "M" + numbers.point(part.start) + (is_number ? std::string(1, part.line) : "") + rest;
}

bool all_straight(const Outline& o) {
  for (std::size_t i = 0; i < o.segment_count(); ++i)
    if (!o.is_straight(i)) return false;
  return true;
}

std::string points_of(const Outline& o, bool closed, const Numbers& numbers) {
  std::string out;
  for (const Node& n : o.nodes) out += (out.empty() ? "" : " ") + numbers.x(n.at.x) + "," + numbers.y(n.at.y);
  // One that ended where it began without being closed goes back there.
  if (o.closed && !closed) out += " " + numbers.x(o.nodes[0].at.x) + "," + numbers.y(o.nodes[0].at.y);
  return out;
}

// The end tag of an element that holds no comment, no instruction and no element of its own name.
std::optional<Range> end_tag_name(const std::string& bytes, std::size_t from, std::string_view name) {
  const std::size_t at = bytes.find("</" + std::string(name), from);
  if (at == bytes.npos) return std::nullopt;
  for (std::size_t i = from; i < at; ++i)
    if (bytes[i] == '<' && (bytes[i + 1] == '!' || bytes[i + 1] == '?')) return std::nullopt;
  return Range{at + 2, at + 2 + name.size()};
}

}  // namespace

std::string spliced(const std::string& bytes, std::vector<TextEdit> edits) {
  std::sort(edits.begin(), edits.end(), [](const TextEdit& a, const TextEdit& b) { return a.at < b.at; });
  std::string out;
  out.reserve(bytes.size());
  std::size_t done = 0;
  for (const TextEdit& e : edits) {
    out.append(bytes, done, e.at - done).append(e.text);
    done = e.at + e.length;
  }
  return out.append(bytes, done);
}

std::string path_data(const SvgPath& path, const NewParts& parts) {
  const Numbers numbers(path.outlines, parts.decimals);
  std::string out;
  for (std::size_t i = 0; i < path.parts.size(); ++i)
    out += parts.outlines[i] ? data_of(*parts.outlines[i], path.parts[i].closed, numbers)
                             : old_data(path.data, path.parts[i], i == 0, numbers);
  return out;
}

std::vector<TextEdit> edits_of(const std::string& bytes, const SvgPath& path, const NewParts& parts, bool may_rename) {
  const std::ptrdiff_t offset = path.node.offset_debug();
  if (offset < 0) return {};
  const bool is_path = path.name == "path";
  const std::optional<StartTag> tag = start_tag(bytes, std::size_t(offset), path.node.name(), is_path ? "d" : "points");
  if (!tag) return {};
  const auto replace = [](const Range& range, std::string text) {
    return TextEdit{range.begin, range.end - range.begin, std::move(text)};
  };
  if (is_path) return {replace(tag->value, path_data(path, parts))};
  const std::optional<Outline>& made = parts.outlines[0];  // the points make one part
  if (path.parts.size() != 1 || !made) return {};
  if (all_straight(*made)) {
    const Numbers numbers(path.outlines, parts.decimals);
    return {replace(tag->value, points_of(*made, path.parts[0].closed, numbers))};
  }
  if (!may_rename) return {};
  // The prefix stays.
  const Range name{tag->name.end - path.name.size(), tag->name.end};
  std::vector<TextEdit> out = {replace(name, "path"), replace(tag->attribute, "d"),
                               replace(tag->value, path_data(path, parts))};
  if (tag->is_empty) return out;
  const std::optional<Range> end = end_tag_name(bytes, tag->end, path.node.name());
  if (!end) return {};
  out.push_back(replace({end->end - path.name.size(), end->end}, "path"));
  return out;
}

}  // namespace batten
