#pragma once
// The files of lib/files/proof/ as text; proof_parts.cpp is made from them by proof_parts.cmake.

#include <string_view>

namespace batten::proof_parts {

extern const std::string_view page, style, script;

}  // namespace batten::proof_parts
