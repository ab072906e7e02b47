#pragma once
// Draws outlines as pencil on paper. Written from how pencil looks: a lead of some pixels' width rides on the peaks of
// the paper's tooth, harder pressure reaches the valleys; a hand misses the line it aims at by a slow drift, bows its
// strokes, lifts at the ends. The outlines that were aimed at are the truth of a drawing.

#include <string>
#include <vector>

#include "support/field.h"

namespace batten::support {

enum class Hand {
  clean,        ///< no pencil: the shape filled by exact area coverage
  single,       ///< one careful line on the outline
  multistroke,  ///< several passes of strokes, a band of about 8..14 px
  loose,        ///< many searching strokes that run past corners, a band of about 14..25 px
  shaded,       ///< filled with strokes that leave no gaps, the rim firmed with a line
  hatched       ///< one careful line on the outline, and strokes inside it with paper between them
};
std::string name_of(Hand hand);

enum class Ruling { ruled, squared };

/// How somebody draws, and what the paper and the scanner add; the values here are the hand of every drawing that says
/// nothing else.
struct Manner {
  double shortest_px = 70, longest_px = 240;          ///< strokes of a pass
  double least_overlap_px = 8, most_overlap_px = 26;  ///< of one stroke and the next
  double spread = 1;                                  ///< how far strokes lie from the line they aim at, over the usual
  double bow = 0.45;                                  ///< bend and tilt of a stroke, over that distance
  double waver_px = 25;                               ///< of a stroke, from one waver to the next
  double waver = 1;                                   ///< how far it wavers, over the usual
  double force = 0.1;                                 ///< deviation of the pressure along a stroke
  double width = 1;                                   ///< of the lead, over the usual
  double grain = 1;                                   ///< size of the paper's tooth, over the usual
  double smear = 0;                                   ///< how dark a wiped shadow is
  double blur = 1, sensor = 1;                        ///< of the scanner, over the usual
  int jpeg_quality = 0;                               ///< 0: the scan is not compressed
};

/// Six hands, their values drawn from ranges of 15 % either way: what is tuned may look at the first four only.
enum class Drawer { usual, quick, feeling, heavy, nervous, soft };
constexpr int drawers = 6, drawers_to_learn_from = 4;
std::string name_of(Drawer drawer);
Manner manner_of(Drawer drawer, Random& random);

/// Ink on one sheet of paper.
class Sheet {
 public:
  Sheet(int width, int height, Random random, const Manner& manner = {});

  void draw(const std::vector<Outline>& outlines, Hand hand);
  /// Light line along a ruler from one side of the sheet to the other.
  void rule(Point from, Point to, double pressure = 0.3, double width_px = 1.4);
  /// Construction as a letterer draws it: pale lines through the top, middle, bottom and sides of a box and one from
  /// corner to corner, each running on by a tenth to a quarter.
  void construct(Point low, Point high);
  /// Lines printed on the paper, 28 to 40 px apart and a little askew.
  void print(Ruling ruling);
  /// Specks and hairs that lay on the glass.
  void dust(int specks, int hairs);
  /// A hand that wiped over the wet of the drawing: the ink's shadow, dragged by so many px.
  void smear(Point drag_px, double strength = 0.07);

  /// As a flat-bed scanner sees it: even light, fine grain, paper a little uneven.
  GrayImage scanned();
  /// As a phone sees it: light from one side, dark corners, blur, noise and JPEG.
  GrayImage photographed();

  const Field& ink() const { return ink_; }

 private:
  struct Touch {  ///< one place of a stroke
    Point at;
    double radius_px, pressure;
  };
  void stroke(const std::vector<Touch>& touches);
  void single_line(const Outline& outline, double radius_px, double pressure);
  void passes(const Outline& outline, int count, double spread_px, double overshoot_px, double radius_px,
              double pressure);
  void one_stroke(const Polyline& side, bool closed, double from_px, double to_px, double offset_px, double spread_px,
                  double radius_px, double pressure);
  struct InsideStrokes {
    double pitch_px, pitch_scatter_px;
    double least_radius_px, most_radius_px;
    double pressure;
    double end_scatter_px;  ///< how far strokes end from where the outline has them end
  };
  void strokes_inside(const std::vector<Polyline>& rings, double turn, const InsideStrokes& how);
  void shade(const std::vector<Outline>& outlines);
  void hatch(const std::vector<Outline>& outlines, double radius_px, double pressure);
  void rim(const std::vector<Outline>& outlines, double radius_px, double pressure);
  GrayImage developed(const Field& paper, double blur_px, double black, double sensor_noise);

  Random random_;
  Manner manner_;
  Field ink_, tooth_;
};

/// The same picture with a shadow cast across it: 15 to 30 % darker on one side of a line, sharp to a few pixels.
GrayImage in_shadow(GrayImage image, Random random);

/// A sheet with one drawing on it, in one call; truth is the outlines given.
GrayImage pencil_drawing(int width, int height, const std::vector<Outline>& outlines, Hand hand, bool photo,
                         Random random, const Manner& manner = {});

}  // namespace batten::support
