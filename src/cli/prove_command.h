#pragma once

#include <iosfwd>
#include <string>

#include "quantity/print.h"
#include "stations/report.h"

namespace fettle::cli {

/// Exit codes of `fettle prove`.
enum class ExitCode { all_holds = 0, something_fails = 1, bad_input = 2, too_close = 3 };

struct ProveRequest {
  std::string path;
  bool json = false;
  bool first_start = false;  ///< also the steps of the first start
  std::size_t trials = 0;
  quantity::System system = quantity::System::inch;
  bool colour = false;
};

/// What `fettle prove` ends with after such a report.
ExitCode exit_code(const stations::Report& report);

/// Reads the build, proves it, writes table or JSON to `out` and problems to `err`.
ExitCode prove_command(const ProveRequest& request, std::istream& in, std::ostream& out, std::ostream& err);

}  // namespace fettle::cli
