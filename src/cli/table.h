#pragma once

#include <string>

#include "build/types.h"
#include "quantity/print.h"
#include "stations/report.h"

namespace fettle::cli {

struct TableOptions {
  quantity::System system = quantity::System::inch;
  bool colour = false;  ///< verdicts in colour; they always stand as words too
};

/// The report as a table for a terminal of 80 columns.
std::string report_table(const build::Build& build, const stations::Report& report,
                         const TableOptions& options);

/// What a finding is called, with its cylinder, valve and lift.
std::string finding_title(const stations::Finding& finding, const TableOptions& options);

/// Its value with its doubt and unit, "-" without one.
std::string finding_value(const stations::Finding& finding, const TableOptions& options);

/// The steps before and at the first start, numbered, each with its reason.
std::string first_start_text(const stations::Report& report);

/// Text broken at blanks into lines of at most `width`, each after the first indented.
std::string wrapped(const std::string& text, std::size_t width, std::size_t indent);

}  // namespace fettle::cli
