// Hands that differ from one another, for what was tuned on some of them to be tried on others.

#include "support/pencil.h"

namespace batten::support {

std::string name_of(Drawer drawer) {
  switch (drawer) {
    case Drawer::usual:
      return "usual";
    case Drawer::quick:
      return "quick";
    case Drawer::feeling:
      return "feeling";
    case Drawer::heavy:
      return "heavy";
    case Drawer::nervous:
      return "nervous";
    case Drawer::soft:
      return "soft";
  }
  return "";
}

Manner manner_of(Drawer drawer, Random& random) {
  Manner m;
  switch (drawer) {
    case Drawer::usual:
      break;
    case Drawer::quick:  // long strokes from the elbow, bowed, that hardly overlap
      m.shortest_px = 160, m.longest_px = 420, m.most_overlap_px = 14, m.bow = 0.7, m.force = 0.15;
      break;
    case Drawer::feeling:  // many short ones from the wrist, each over half of the last
      m.shortest_px = 35, m.longest_px = 90, m.least_overlap_px = 14, m.most_overlap_px = 30, m.spread = 1.15,
      m.bow = 0.3;
      break;
    case Drawer::heavy:  // a blunt lead pressed evenly on smooth paper
      m.width = 1.4, m.force = 0.05, m.grain = 0.8, m.spread = 0.85;
      break;
    case Drawer::nervous:  // a hand that wavers and presses unevenly, and often lifts
      m.waver_px = 14, m.waver = 1.8, m.force = 0.22, m.shortest_px = 45, m.longest_px = 140;
      break;
    case Drawer::soft:  // a soft lead on rough paper, wiped over, in a soft and compressed scan
      m.width = 1.6, m.grain = 1.6, m.smear = 0.06, m.blur = 1.8, m.sensor = 1.8, m.jpeg_quality = 80, m.waver_px = 40;
      break;
  }
  if (drawer == Drawer::usual) return m;
  for (double* value : {&m.shortest_px, &m.longest_px, &m.least_overlap_px, &m.most_overlap_px, &m.spread, &m.bow,
                        &m.waver_px, &m.waver, &m.force, &m.width, &m.grain, &m.blur, &m.sensor})
    *value *= random.uniform(0.85, 1.15);
  return m;
}

}  // namespace batten::support
