// Refits the paths of an SVG file in its own text.

#include <algorithm>
#include <cmath>

#include "batten/files.h"
#include "splice_svg.h"
#include "svg_paths.h"

namespace batten {
namespace {

constexpr double mm_per_inch = 25.4, px_per_inch = 96;  // CSS 2.1, 4.3.2

Transform scaled(double by, const Transform& t) { return Transform{by, 0, 0, by, 0, 0} * t; }

template <class Place>
void place(Outline* o, Place to) {
  for (Node& n : o->nodes) n.handle_before = to(n.handle_before), n.at = to(n.at), n.handle_after = to(n.handle_after);
}

bool is_in_reach(const Outline& o) {
  constexpr double largest = 1e9;
  const auto fits = [](Point p) { return std::abs(p.x) <= largest && std::abs(p.y) <= largest; };
  return std::all_of(o.nodes.begin(), o.nodes.end(),
                     [&](const Node& n) { return fits(n.at) && fits(n.handle_before) && fits(n.handle_after); });
}

// Which part of which path an outline is.
struct OutlineOf {
  std::size_t path = 0, part = 0;
};

std::size_t nodes_of(const PathPart& part, std::size_t segments) { return part.closed ? segments : segments + 1; }

// A scan under the page.
struct ScanUnder {
  const Picture& picture;
  ScanPlace place;
};

// How much of a job over a scan is looking at its pixels.
constexpr double pixels_share = 0.5;

class SvgRefit {
 public:
  SvgRefit(const std::string& bytes, SvgPaths paths, const SvgPage& page, std::optional<double> tolerance_px,
           std::optional<ScanUnder> scan)
      : bytes_(bytes), paths_(std::move(paths)), page_(page), scan_(std::move(scan)) {
    if (tolerance_px) asked_px_ = *tolerance_px * unit_px();
    if (asked_px_) tolerance_px_ = *asked_px_;
  }

  std::optional<Error> run(Options options, const Job& job) {
    options.tolerance_px = asked_px_;
    options.grid_px = 0;  // of the page: coordinates of an element under a transform would not be whole
    gather();
    Result<Refitted> made = scan_ ? refit_over(options, job) : refit(outlines_, options, job);
    if (!made) return made.error();
    refitted_ = std::move(*made);
    return std::nullopt;
  }

  RefittedSvg take() {
    RefittedSvg out;
    out.counts.paths = paths_.paths.size();
    for (std::size_t i = 0; i < paths_.paths.size(); ++i) {
      for (const PathPart& part : paths_.paths[i].parts)
        if (part.outline >= 0) out.counts.nodes_before += nodes_of(part, part.segments);
      put_in(i, &out);
    }
    out.bytes = spliced(bytes_, std::move(edits_));
    out.conversion = std::move(refitted_.conversion);
    if (scan_)
      count_over_scan(out.conversion.report, &out.counts);
    else
      lay_on_page(&out.conversion.drawing);
    for (std::size_t k = 0; k < of_.size(); ++k) {
      // Where it was held to more because it is used at several sizes, the report is about the largest of them.
      const double strictness = paths_.paths[of_[k].path].strictness;
      if (strictness > 1)
        for (Outline* o : {&out.conversion.drawing.outlines[k], &outlines_[k]})
          place(o, [&](Point p) { return (1 / strictness) * p; });
    }
    out.before = std::move(outlines_);
    add_findings(out.conversion.drawing, &out.conversion.report.findings);
    return out;
  }

 private:
  double unit_px() const { return scan_ ? scan_->place.scale : 1; }
  Transform to_bench(const SvgPath& path) const { return scaled(path.strictness * unit_px(), path.placed); }

  Result<Refitted> refit_over(Options options, const Job& job) const {
    const auto part_of = [&](double from, double share) {
      Job part{{}, job.log, job.stop};
      if (job.progress)
        part.progress = [&job, from, share](Stage stage, double f) { job.progress(stage, from + share * f); };
      return part;
    };
    if (!(options.dpi > 0)) options.dpi = scan_->picture.dpi;
    const Result<Located> lines = locate(scan_->picture.view(), options, part_of(0, 1));
    if (!lines) return lines.error();
    Underlay under{*lines, {}};
    for (std::size_t k = 0; k < of_.size(); ++k)
      if (paths_.paths[of_[k].path].is_used_again) under.left_alone.push_back(k);
    return refit(outlines_, under, options, part_of(pixels_share, 1 - pixels_share));
  }

  void lay_on_page(Drawing* drawing) const {
    drawing->width_px = page_.view.width, drawing->height_px = page_.view.height;
    if (page_.width_mm > 0) drawing->dpi = page_.view.width / page_.width_mm * mm_per_inch;
  }
  void count_over_scan(const Report& report, RefitCounts* counts) const {
    OverScan& over = counts->over.emplace();
    double before2 = 0, after2 = 0, total = 0;
    for (std::size_t k = 0; k < of_.size(); ++k) {
      const Refitting& now = refitted_.outlines[k];
      ++(now.over_scan ? over.placed : over.not_placed);
      if (!now.over_scan) continue;
      const double px = report.outlines[k].loop_length_px;
      before2 += now.scan_before.rms_px * now.scan_before.rms_px * px;
      after2 += now.scan_after.rms_px * now.scan_after.rms_px * px, total += px;
      over.max_before_px = std::max(over.max_before_px, now.scan_before.max_px);
      over.max_after_px = std::max(over.max_after_px, now.scan_after.max_px);
    }
    if (total > 0) over.rms_before_px = std::sqrt(before2 / total), over.rms_after_px = std::sqrt(after2 / total);
  }

  void gather() {
    for (std::size_t i = 0; i < paths_.paths.size(); ++i) {
      SvgPath& path = paths_.paths[i];
      const Transform to = to_bench(path);
      if (path.left_because.empty() && is_finer_than_numbers(path))
        path.left_because = "the tolerance is finer than its coordinates";
      if (!path.left_because.empty()) continue;
      for (std::size_t k = 0; k < path.parts.size(); ++k) {
        if (path.parts[k].outline < 0) continue;
        Outline o = path.outlines[std::size_t(path.parts[k].outline)];
        place(&o, to);
        if (!is_in_reach(o)) {
          path.left_because = "its coordinates are beyond 1e9";
          continue;
        }
        // Ends that meet without being joined stay two ends.
        if (o.closed && !path.parts[k].closed) o.nodes[0].reason = Reason::line_end;
        o.kind = o.closed ? Kind::filled : Kind::line;
        outlines_.push_back(std::move(o));
        of_.push_back({i, k});
      }
    }
  }
  // Places nearer than this share of their size are one to the reader (path_maker.cpp).
  bool is_finer_than_numbers(const SvgPath& path) const {
    double largest = 0;
    for (const Outline& o : path.outlines)
      for (const Node& n : o.nodes) largest = std::max({largest, std::abs(n.at.x), std::abs(n.at.y)});
    return tolerance_px_ / stretch_of(to_bench(path)) < 1e-5 * (1 + largest);
  }

  // Coordinates are rounded to a two-hundredth of the tolerance at most.
  int decimals_for(const SvgPath& path) const {
    const double own = tolerance_px_ / stretch_of(to_bench(path));
    const double digits = std::ceil(-std::log10(own)) + 2;  // not finite where the transform makes a point of the path
    return digits > 0 ? int(std::min(digits, 9.)) : 0;
  }

  void put_in(std::size_t i, RefittedSvg* out) {
    SvgPath& path = paths_.paths[i];
    NewParts parts;
    parts.outlines.resize(path.parts.size());
    std::vector<std::size_t> segments;
    for (const PathPart& part : path.parts) segments.push_back(part.segments);
    double change_px = 0;
    bool any = false;
    for (; next_ < of_.size() && of_[next_].path == i; ++next_) {
      const Refitting& now = refitted_.outlines[next_];
      const std::size_t k = of_[next_].part;
      if (now.outcome != Refitting::Outcome::refitted) continue;
      const bool is_wanted = now.over_scan || now.is_pinned;
      if (!is_wanted && now.segments_after >= path.parts[k].segments) continue;
      Outline o = refitted_.conversion.drawing.outlines[next_];
      const std::optional<Transform> back = inverse(to_bench(path));
      if (!back) continue;
      place(&o, *back);
      parts.outlines[k] = std::move(o);
      segments[k] = now.segments_after;
      change_px = std::max(change_px, now.change_px);
      any = true;
    }
    parts.decimals = decimals_for(path);
    if (any) {
      const bool may_rename = !paths_.has_script && paths_.style.find(path.name) == std::string::npos;
      const std::vector<TextEdit> edits = edits_of(bytes_, path, parts, may_rename);
      if (edits.empty()) {
        path.left_because = path.name == "path" ? "its place in the file was not found"
                                                : "it would become a path, and something names it as what it is";
        for (std::size_t k = 0; k < segments.size(); ++k) segments[k] = path.parts[k].segments;
      } else {
        edits_.insert(edits_.end(), edits.begin(), edits.end());
        ++out->counts.refitted;
        out->counts.change_px = std::max(out->counts.change_px, change_px);
      }
    }
    for (std::size_t k = 0; k < segments.size(); ++k)
      if (path.parts[k].outline >= 0) out->counts.nodes_after += nodes_of(path.parts[k], segments[k]);
  }

  void add_findings(const Drawing& drawing, std::vector<Finding>* findings) const {
    if (scan_) findings->insert(findings->begin(), {Finding::What::placed, -1, {}, 0, scan_->place.how});
    const auto note = [&](int outline, Point place, const std::string& text) {
      findings->push_back({Finding::What::left_as_it_was, outline, place, 0, text});
    };
    for (const SvgPath& path : paths_.paths) {
      if (path.left_because.empty()) continue;
      const std::string id = path.node.attribute("id").value();
      note(-1, path.outlines.empty() ? Point{} : unit_px() * path.placed(path.outlines[0].nodes[0].at),
           "The " + path.name + (id.empty() ? "" : " " + id) + " stays: " + path.left_because + ".");
    }
    for (std::size_t k = 0; k < of_.size(); ++k) {
      if (scan_ && paths_.paths[of_[k].path].is_used_again)
        findings->push_back({Finding::What::not_drawn, int(k), drawing.outlines[k].nodes[0].at, 0,
                             "This path is painted in several places: it was refitted without the scan."});
      const Refitting::Outcome outcome = refitted_.outlines[k].outcome;
      if (outcome == Refitting::Outcome::too_far || outcome == Refitting::Outcome::too_large)
        note(int(k), drawing.outlines[k].nodes[0].at,
             std::string("This outline stays: ") + (outcome == Refitting::Outcome::too_far
                                                        ? "nothing with fewer nodes was found that holds the tolerance."
                                                        : "it is longer than a hundred thousand tolerances."));
    }
    if (paths_.not_painted > 0)
      note(-1, {},
           std::to_string(paths_.not_painted) +
               " more stay: they are not painted (clips, masks, patterns, markers, hidden ones).");
    if (!paths_.sound) note(-1, {}, "Something in the file is not SVG 1.1 and stays.");
  }

  const std::string& bytes_;
  SvgPaths paths_;
  SvgPage page_;
  std::optional<ScanUnder> scan_;
  std::optional<double> asked_px_;  // as the next
  double tolerance_px_ = 0.5;       // where it is left to the scan: what it is there at least
  std::vector<Outline> outlines_;
  std::vector<OutlineOf> of_;  // in the order of paths and parts
  Refitted refitted_;
  std::vector<TextEdit> edits_;
  std::size_t next_ = 0;
};

// Bytes of ASCII letters are looked for as such.
bool is_wide(const std::string& bytes) {
  const std::string_view head = std::string_view(bytes).substr(0, 4);
  return head.find('\0') != head.npos || head.substr(0, 2) == "\xfe\xff" || head.substr(0, 2) == "\xff\xfe";
}

Result<RefittedSvg> refit_bytes(const std::string& bytes, const std::string& path, const Picture* scan,
                                std::optional<double> tolerance, LengthUnit unit, const Options& options,
                                const Job& job) {
  constexpr std::size_t most_bytes = std::size_t(256) << 20;
  if (bytes.size() > most_bytes) return refused_svg(path, "is larger than 256 MB: split it.");
  if (is_wide(bytes)) return refused_svg(path, "is UTF-16: save it as UTF-8.");
  pugi::xml_document document;
  const pugi::xml_parse_result parsed =
      document.load_buffer(bytes.data(), bytes.size(), pugi::parse_default, pugi::encoding_utf8);
  if (!parsed)
    return refused_svg(path, "cannot be read as SVG (" + std::string(parsed.description()) + " at byte " +
                                 std::to_string(parsed.offset) + "): give an SVG of paths.");
  const pugi::xml_node root = document.document_element();
  if (name_of(root) != "svg") return refused_svg(path, "is XML, but no SVG: give an SVG of paths.");
  const SvgPage page = page_of(root);
  const double px = unit == LengthUnit::px ? 1 : 1 / mm_per_inch * px_per_inch / page.unit_px;
  if (tolerance && !(*tolerance * px > 0 && *tolerance * px <= 10000))
    return Error{ErrorCode::bad_option,
                 "The tolerance must be over 0 and at most 10000 px of the document: try 0.5 px.", "tolerance"};
  std::optional<double> tolerance_px;
  if (tolerance) tolerance_px = *tolerance * px;
  std::optional<ScanUnder> under;
  if (scan) {
    const double dpi = options.dpi > 0 ? options.dpi : scan->dpi;
    under.emplace(ScanUnder{*scan, place_of_page(page, scan->width, scan->height, dpi)});
  }
  SvgRefit work(bytes, find_svg_paths(document, page), page, tolerance_px, std::move(under));
  if (auto error = work.run(options, job)) return *error;
  return work.take();
}

Result<RefittedSvg> refit_file(const std::string& path, const Picture* scan, std::optional<double> tolerance,
                               LengthUnit unit, const Options& options, const Job& job) {
  const Result<std::string> bytes = read_svg_bytes(path);
  if (!bytes) return bytes.error();
  try {
    return refit_bytes(*bytes, path, scan, tolerance, unit, options, job);
  } catch (const std::bad_alloc&) {
    return Error{ErrorCode::out_of_memory, path + " is too large for the memory there is.", path};
  }
}

}  // namespace

Result<RefittedSvg> refit_svg(const std::string& path, double tolerance, LengthUnit unit, const Options& options,
                              const Job& job) {
  return refit_file(path, nullptr, tolerance, unit, options, job);
}

Result<RefittedSvg> refit_svg(const std::string& path, const Picture& scan, std::optional<double> tolerance,
                              LengthUnit unit, const Options& options, const Job& job) {
  return refit_file(path, &scan, tolerance, unit, options, job);
}

}  // namespace batten
