#pragma once
// What all commands share: from what was typed and the scan to what the library wants.

#include "arguments.h"
#include "batten/files.h"
#include "show.h"

namespace batten::cli {

/// What this process can have: the memory of the machine, less where a container or a limit of the shell says so.
double memory_of_machine();
/// As asked for, or one for each core.
int threads_of(const Arguments& arguments);
/// Reads the scan within the limits of size and memory. Errors: those of read_picture().
Result<Picture> read_scan(const Arguments& arguments, const std::string& scan);
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
/// "The file holds 3 pages ..."
std::string pages_sentence(const Picture& picture);
/// Adds a finding where the file of the scan holds more pages than the one that was read.
void note_pages(const Picture& picture, Conversion* conversion);

/// The proof as the ending of `path` says: .png, .pdf, else HTML. Errors: bad_pixels, out_of_memory.
Result<std::string> proof_for(const std::string& path, const Picture& picture, const Conversion& conversion,
                              const ReportContext& context);

/// What is to be written to one place.
struct Output {
  std::string path, bytes;
  std::vector<FolderFile> folder = {};  ///< of a font, in place of bytes
};
/// Writes one line on standard output, or on standard error where one of the results goes to standard output.
void say(const std::string& line, const std::vector<Output>& outputs);
/// Writes all or none, and makes their folders. Error: cannot_write.
std::optional<Error> write_together(const std::vector<Output>& outputs, FileBatch* batch);

}  // namespace batten::cli
