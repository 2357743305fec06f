#include "cli/prove_command.h"

#include <ostream>

#include "cli/problems.h"
#include "cli/table.h"
#include "stations/prove.h"
#include "stations/report_json.h"
#include "stations/tally.h"

namespace fettle::cli {

ExitCode exit_code(const stations::Report& report) {
  const stations::Tally counts = stations::tally(report);
  if (counts.fails > 0) {
    return ExitCode::something_fails;
  }
  return counts.too_close > 0 ? ExitCode::too_close : ExitCode::all_holds;
}

ExitCode prove_command(const ProveRequest& request, std::istream& in, std::ostream& out, std::ostream& err) {
  const auto build = read_build_file(request.path, request.json, in, out, err);
  if (!build) {
    return ExitCode::bad_input;
  }
  const stations::Report report = stations::prove(*build, {.trials = request.trials});
  if (request.json) {
    out << stations::report_json(report, stations::JsonLayout::indented) << '\n';
  } else {
    out << report_table(*build, report, {request.system, request.colour});
    if (request.first_start) {
      out << first_start_text(report);
    }
  }
  return exit_code(report);
}

}  // namespace fettle::cli
