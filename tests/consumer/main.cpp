#include <batten/files.h>
#include <batten/write.h>

#include <iostream>

int main(int count, char** names) {
  const auto scan = batten::read_picture(count > 1 ? names[1] : "scan.png");
  if (!scan) return std::cerr << scan.error().message << '\n', 1;
  const auto traced = batten::convert(scan->view(), {.tolerance_px = 1.0, .dpi = scan->dpi});
  if (!traced) return std::cerr << traced.error().message << '\n', 1;
  const auto failed = batten::write_file("scan.svg", batten::to_svg(traced->drawing));
  if (failed) return std::cerr << failed->message << '\n', 1;
  std::cout << traced->report.segments << " segments, at most " << traced->report.max_px << " px off\n";
}
