#pragma once
// Gives the text of a finding with its figures put in.

#include <initializer_list>
#include <string>
#include <string_view>

namespace batten {

/// Each {N} of the format becomes the next figure, with N decimals (one digit).
std::string sentence(std::string_view format, std::initializer_list<double> figures);

}  // namespace batten
