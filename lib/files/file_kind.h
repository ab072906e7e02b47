#pragma once
// Tells what a file is, by its first bytes and never by its name.

#include <string>

#include "decoders.h"

namespace batten {

enum class FileKind { png, jpeg, tiff, webp, bmp, pnm, other };

FileKind file_kind(Bytes bytes);

/// For FileKind::other: one sentence on what the file seems to be and what to try.
std::string advice_for(const std::string& path, Bytes bytes);

}  // namespace batten
