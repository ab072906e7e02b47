#pragma once
// Says what a path for a result leads to: a descriptor that is open, a device or pipe, or a place on the disk.

#include <optional>
#include <string>

namespace batten {

/// The descriptor that a path such as /dev/stdout, /dev/fd/3 or /proc/self/fd/3 stands for, links to it followed; or
/// nothing.
std::optional<int> descriptor_of(const std::string& path);

/// The path of what is really written to: whole, every link followed, even one that leads to nothing yet.
std::string followed(const std::string& path);

/// Is it there, and neither a file nor a folder? Such a thing is written to as it is.
bool is_stream(const std::string& path);

/// 0 when all bytes went through, else errno.
int write_all(int descriptor, const std::string& bytes);

}  // namespace batten
