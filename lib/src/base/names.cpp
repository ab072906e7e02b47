// Gives the words that reports, logs and messages use.

#include "batten/convert.h"
#include "batten/geometry.h"

namespace batten {

const char* name_of(Reason reason) {
  switch (reason) {
    case Reason::corner:
      return "corner";
    case Reason::extreme_left:
      return "left";
    case Reason::extreme_right:
      return "right";
    case Reason::extreme_top:
      return "top";
    case Reason::extreme_bottom:
      return "bottom";
    case Reason::straight_end:
      return "straight end";
    case Reason::added:
      return "added";
  }
  return "unknown";
}

const char* name_of(Kind kind) {
  switch (kind) {
    case Kind::outlined:
      return "outlined";
    case Kind::filled:
      return "filled";
    case Kind::line:
      return "line";
  }
  return "unknown";
}

const char* name_of(Stage stage) {
  switch (stage) {
    case Stage::load:
      return "load";
    case Stage::ink:
      return "ink";
    case Stage::guides:
      return "guides";
    case Stage::patches:
      return "patches";
    case Stage::loops:
      return "loops";
    case Stage::locate:
      return "locate";
    case Stage::corners:
      return "corners";
    case Stage::structure:
      return "structure";
    case Stage::minimise:
      return "minimise";
    case Stage::refine:
      return "refine";
    case Stage::straighten:
      return "straighten";
    case Stage::finish:
      return "finish";
  }
  return "unknown";
}

const char* name_of(Finding::What what) {
  switch (what) {
    case Finding::What::tolerance_exceeded:
      return "tolerance exceeded";
    case Finding::What::tolerance_below_uncertainty:
      return "tolerance below uncertainty";
    case Finding::What::fallback:
      return "fallback";
    case Finding::What::crossing_outline:
      return "outline crosses itself";
    case Finding::What::refinement_stopped:
      return "refinement stopped early";
    case Finding::What::open_lines_left_out:
      return "open lines left out";
    case Finding::What::dropped_speck:
      return "dropped speck";
    case Finding::What::guide_removed:
      return "guide removed";
    case Finding::What::not_drawn:
      return "not drawn";
    case Finding::What::no_outline:
      return "no outline";
    case Finding::What::extreme_without_node:
      return "extreme without node";
    case Finding::What::handle_off_axis:
      return "handle off axis";
    case Finding::What::kink:
      return "kink";
    case Finding::What::needless_node:
      return "needless node";
    case Finding::What::straight_with_handles:
      return "straight with handles";
    case Finding::What::nearly_on_axis:
      return "nearly on axis";
    case Finding::What::placed:
      return "placed";
  }
  return "unknown";
}

const char* name_of(LowerBound::Argument argument) {
  return argument == LowerBound::Argument::degree ? "degree of a cubic" : "nodes that have to be there";
}

const char* name_of(Edit::Kind kind) {
  switch (kind) {
    case Edit::Kind::level:
      return "level";
    case Edit::Kind::vertical:
      return "vertical";
    case Edit::Kind::slant:
      return "slant";
    case Edit::Kind::line:
      return "line";
    case Edit::Kind::width:
      return "width";
    case Edit::Kind::overshoot:
      return "overshoot";
    case Edit::Kind::symmetry:
      return "symmetry";
  }
  return "unknown";
}

Level level_of(Finding::What what) {
  switch (what) {
    case Finding::What::tolerance_exceeded:
    case Finding::What::tolerance_below_uncertainty:
    case Finding::What::fallback:
    case Finding::What::crossing_outline:
    case Finding::What::refinement_stopped:
    case Finding::What::open_lines_left_out:
    case Finding::What::not_drawn:
    case Finding::What::no_outline:
      return Level::warning;
    default:
      return Level::info;
  }
}

}  // namespace batten
