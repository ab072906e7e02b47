#pragma once
// The figures of many scans as one table.

#include <optional>
#include <string>
#include <vector>

#include "batten/convert.h"

namespace batten::cli {

/// One scan of many.
struct TableRow {
  std::size_t number = 0;   ///< its place in the list, from 1 on
  std::string scan, error;  ///< no error: it is traced
  std::size_t outlines = 0, lines = 0, nodes = 0, segments = 0, warnings = 0;
  double tolerance_px = 0, max_px = 0, rms_px = 0;
};

TableRow row_of(const Conversion& conversion);

/// The row of a report that is there already, if it says that it is of this job.
std::optional<TableRow> row_of_report(const std::string& path, const std::string& job);

/// CSV (RFC 4180), one row a scan, each on one line. Tables of shards are put together by sorting on the first column.
std::string to_csv(const std::vector<TableRow>& rows);

/// A name for these bytes: the same for the same bytes only, but for one chance in 2^64.
std::string name_of_bytes(const std::string& bytes);

}  // namespace batten::cli
