#pragma once
// What all commands share: from what was typed and the scan to what the library wants.

#include "arguments.h"
#include "batten/files.h"
#include "show.h"

namespace batten::cli {

/// `scan` is for messages. Errors: resolution_unknown, bad_option.
Result<Options> options_for(const Arguments& arguments, const Picture& picture, const std::string& scan);
/// px of a length that is not `automatic`; `option` is where it was typed. Error: resolution_unknown.
Result<double> px_of(const Tolerance& length, double dpi, const std::string& scan, const std::string& option);
/// The error with the scan's name before its message.
Error named(Error error, const std::string& scan);
/// Locates the lines of the scan, or of the part that --crop names, and shows the progress of this first half.
Result<Located> locate_lines(const Arguments& arguments, const Picture& picture, const Options& options,
                             const std::string& scan);
/// A job whose progress the line shows as the second half.
Job second_half(ProgressLine* line);
/// Moves what was traced from a part of the scan to its place on the whole.
void put_back(Conversion& conversion, const Picture& picture, const std::optional<Crop>& crop);
/// Makes the folder and writes the file whole or not at all. Error: cannot_write.
std::optional<Error> write_result(const std::string& path, const std::string& bytes);

/// The proof as the ending of `path` says: .png, .pdf, else HTML. Errors: cannot_write, bad_pixels, out_of_memory.
std::optional<Error> write_proof(const std::string& path, const Picture& picture, const Conversion& conversion,
                                 const ReportContext& context);

}  // namespace batten::cli
