#pragma once
// From what was typed to what the library wants: shared by all commands.

#include "arguments.h"
#include "batten/files.h"

namespace batten::cli {

/// `scan` is for messages. Errors: resolution_unknown, bad_option.
Result<Options> options_for(const Arguments& arguments, const Picture& picture, const std::string& scan);
/// px of a length that is not `automatic`; `option` is where it was typed. Error: resolution_unknown.
Result<double> px_of(const Tolerance& length, double dpi, const std::string& scan, const std::string& option);
/// The part of the scan to look at; the whole without --crop. Error: bad_option.
Result<ImageView> view_of(const Picture& picture, const std::optional<Crop>& crop, const std::string& scan);
/// What was traced from a part goes back to its place on the scan.
void put_back(Conversion& conversion, const Picture& picture, const std::optional<Crop>& crop);
/// Makes the folder and writes the file whole or not at all. Error: cannot_write.
std::optional<Error> write_result(const std::string& path, const std::string& bytes);

/// The proof as the ending of `path` says: .png, .pdf, else HTML. Errors: cannot_write, bad_pixels, out_of_memory.
std::optional<Error> write_proof(const std::string& path, const Picture& picture, const Conversion& conversion,
                                 const ReportContext& context);

}  // namespace batten::cli
