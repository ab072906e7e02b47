// The C interface: what makes drawings of pixels, of polylines, of outlines that were there already.

#include "api/c_interface.h"

namespace batten::c {

// Two doubles in one order: a Point is what C has.
static_assert(sizeof(Point) == 2 * sizeof(double) && offsetof(Point, y) == sizeof(double));

std::unique_ptr<batten_located> handle_of(Located&& located) {
  auto out = std::make_unique<batten_located>(batten_located{std::move(located), {}});
  out->loops = out->located.loops();
  return out;
}

batten_loop loop_for(const LocatedLoop& l) {
  return {0,
          l.points.empty() ? nullptr : &l.points.front().x,
          l.points.size(),
          l.closed,
          std::int32_t(l.kind),
          l.sigma_px,
          l.correlation_px,
          l.band_px};
}
std::unique_ptr<batten_sweep> handle_of(Sweep&& sweep) {
  auto out = std::make_unique<batten_sweep>();
  for (Conversion& conversion : sweep.conversions) out->drawings.push_back(handle_of(std::move(conversion)));
  sweep.conversions.clear();
  out->sweep = std::move(sweep);
  return out;
}

}  // namespace batten::c

namespace {

using batten::Conversion, batten::Error, batten::ErrorCode, batten::Job, batten::Located, batten::Options,
    batten::Result, batten::c::bad, batten::c::image_from, batten::c::run;

}  // namespace

extern "C" {

int32_t batten_convert(const batten_image* image, const batten_options* options, const batten_job* job,
                       batten_drawing** out, batten_error* error) {
  return run(options, job, out, error, [&](const Options& o, const Job& j) -> Result<Conversion> {
    const auto view = image_from(image);
    if (!view) return view.error();
    return batten::convert(*view, o, j);
  });
}

int32_t batten_locate(const batten_image* image, const batten_options* options, const batten_job* job,
                      batten_located** out, batten_error* error) {
  return run(options, job, out, error, [&](const Options& o, const Job& j) -> Result<Located> {
    const auto view = image_from(image);
    if (!view) return view.error();
    return batten::locate(*view, o, j);
  });
}

int32_t batten_convert_located(const batten_located* located, const batten_options* options, const batten_job* job,
                               batten_drawing** out, batten_error* error) {
  return run(options, job, out, error, [&](const Options& o, const Job& j) -> Result<Conversion> {
    if (!located) return bad("Something located is needed: see batten_locate().", "located");
    return batten::convert(located->located, o, j);
  });
}

void batten_located_free(batten_located* located) { delete located; }

int32_t batten_fit(const double* xy, const size_t* lengths, size_t count, const batten_options* options,
                   const batten_job* job, batten_drawing** out, batten_error* error) {
  return batten_fit_lines(xy, lengths, count, 0, options, job, out, error);
}

int32_t batten_fit_lines(const double* xy, const size_t* lengths, size_t closed, size_t open,
                         const batten_options* options, const batten_job* job, batten_drawing** out,
                         batten_error* error) {
  return run(options, job, out, error, [&](const Options& o, const Job& j) -> Result<Conversion> {
    if (!xy || !lengths || closed + open == 0)
      return Error{ErrorCode::bad_polyline, "At least one polyline is needed.", "xy"};
    const auto* next = reinterpret_cast<const batten::Point*>(xy);
    std::vector<batten::PolylineView> lines;
    for (std::size_t i = 0; i < closed + open; next += lengths[i++]) lines.push_back({{next, lengths[i]}, i < closed});
    return batten::fit(lines, o, j);
  });
}

int32_t batten_fit_polylines(const batten_polyline* polylines, size_t count, const batten_options* options,
                             const batten_job* job, batten_drawing** out, batten_error* error) {
  return run(options, job, out, error, [&](const Options& o, const Job& j) -> Result<Conversion> {
    constexpr std::size_t first_size = sizeof(batten_polyline);
    if (!polylines || count == 0)
      return Error{ErrorCode::bad_polyline, "At least one polyline is needed.", "polylines"};
    const std::size_t size = polylines->struct_size;
    if (size < first_size || size % alignof(batten_polyline) != 0)
      return bad("Set struct_size to sizeof(batten_polyline) first.", "batten_polyline");
    std::vector<batten::PolylineView> views;
    for (std::size_t i = 0; i < count; ++i) {
      batten_polyline p;  // a later header's may be larger
      std::memcpy(&p, reinterpret_cast<const char*>(polylines) + i * size, sizeof p);
      if (p.struct_size != size) return bad("All polylines of an array have one struct_size.", "batten_polyline");
      if (!p.xy) return bad("A polyline has no points.", "xy");
      const auto* points = reinterpret_cast<const batten::Point*>(p.xy);
      batten::PolylineView& view = views.emplace_back(batten::PolylineView{{points, p.points}, p.closed != 0});
      if (p.sigma_px != 0) view.sigma_px = p.sigma_px;
      if (p.sigmas_px) view.sigmas_px = {p.sigmas_px, p.points};
      view.correlation_px = p.correlation_px, view.band_px = p.band_px;
    }
    return batten::fit(views, o, j);
  });
}

size_t batten_located_count(const batten_located* located) { return located ? located->loops.size() : 0; }

int batten_located_loop(const batten_located* located, size_t loop, batten_loop* info) {
  if (loop >= batten_located_count(located)) return 0;
  return batten::c::given(batten::c::loop_for(located->loops[loop]), info);
}

int32_t batten_judge(const batten_located* located, const batten_drawing* drawing, const batten_options* options,
                     const batten_job* job, batten_drawing** out, batten_error* error) {
  return run(options, job, out, error, [&](const Options& o, const Job& j) -> Result<Conversion> {
    if (!located) return bad("Something located is needed: see batten_locate().", "located");
    if (!drawing) return bad("A drawing to judge is needed: see batten_drawing_of().", "drawing");
    return batten::judge(located->located, drawing->conversion.drawing, o, j);
  });
}

int32_t batten_sweep_located(const batten_located* located, const double* tolerances_px, size_t count,
                             const batten_options* options, const batten_job* job, batten_sweep** out,
                             batten_error* error) {
  return run(options, job, out, error, [&](const Options& o, const Job& j) -> Result<batten::Sweep> {
    if (!located) return bad("Something located is needed: see batten_locate().", "located");
    if (!tolerances_px && count > 0) return bad("Tolerances are needed, px.", "tolerances_px");
    return batten::sweep(located->located, {tolerances_px, count}, o, j);
  });
}

void batten_sweep_free(batten_sweep* sweep) { delete sweep; }

size_t batten_sweep_count(const batten_sweep* sweep) { return sweep ? sweep->drawings.size() : 0; }

const batten_drawing* batten_sweep_drawing(const batten_sweep* sweep, size_t index) {
  return index < batten_sweep_count(sweep) ? sweep->drawings[index].get() : nullptr;
}

int batten_sweep_choice(const batten_sweep* sweep, size_t* recommended, int32_t* knee) {
  if (!sweep || !recommended || !knee) return 0;
  *recommended = sweep->sweep.recommended;
  *knee = sweep->sweep.knee ? int32_t(*sweep->sweep.knee) : -1;
  return 1;
}

}  // extern "C"
