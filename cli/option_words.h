#pragma once
// Lists the words that options accept, for help, for completion and for reading what was typed.

#include <string>

#include "batten/convert.h"

namespace batten::cli {

template <class Value>
struct Word {
  const char* text;
  Value value;
};
inline constexpr Word<Options::DrawingKind> kinds[] = {{"auto", Options::DrawingKind::automatic},
                                                       {"outlined", Options::DrawingKind::outlined},
                                                       {"filled", Options::DrawingKind::filled},
                                                       {"lines", Options::DrawingKind::lines}};
inline constexpr Word<Options::Output> outputs[] = {
    {"both", Options::Output::both}, {"outlines", Options::Output::outlines}, {"lines", Options::Output::lines}};
inline constexpr Word<Options::Construction> constructions[] = {{"drop", Options::Construction::leave_out},
                                                                {"keep", Options::Construction::keep}};
inline constexpr Word<Options::Extremes> rules[] = {{"required", Options::Extremes::required},
                                                    {"free", Options::Extremes::free}};

inline constexpr Word<bool> switches[] = {{"on", true}, {"off", false}};
inline constexpr Word<Options::Direction> directions[] = {{"clockwise", Options::Direction::clockwise},
                                                          {"anticlockwise", Options::Direction::anticlockwise}};
inline constexpr Word<Options::Start> starts[] = {{"corner", Options::Start::corner},
                                                  {"extreme", Options::Start::extreme}};
inline constexpr Word<bool Options::Straighten::*> edits[] = {{"axes", &Options::Straighten::axes},
                                                              {"slants", &Options::Straighten::slants},
                                                              {"lines", &Options::Straighten::lines},
                                                              {"widths", &Options::Straighten::widths},
                                                              {"overshoots", &Options::Straighten::overshoots}};

/// "auto|outlined|filled|lines"
template <class Value, std::size_t count>
std::string alternatives(const Word<Value> (&words)[count]) {
  std::string text;
  for (const Word<Value>& word : words) text += (text.empty() ? "" : "|") + std::string(word.text);
  return text;
}

}  // namespace batten::cli
