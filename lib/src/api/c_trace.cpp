// The C interface: what makes drawings of pixels, of polylines, of outlines that were there already.

#include "api/c_interface.h"

namespace batten::c {

std::unique_ptr<batten_located> handle_of(Located&& located) {
  return std::make_unique<batten_located>(batten_located{std::move(located)});
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
    // Two doubles in one order: a Point is what C has.
    static_assert(sizeof(batten::Point) == 2 * sizeof(double) && offsetof(batten::Point, y) == sizeof(double));
    const auto* next = reinterpret_cast<const batten::Point*>(xy);
    std::vector<batten::PolylineView> lines;
    for (std::size_t i = 0; i < closed + open; next += lengths[i++]) lines.push_back({{next, lengths[i]}, i < closed});
    return batten::fit(lines, o, j);
  });
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
