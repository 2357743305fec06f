#include "cli/prove_command.h"

#include <ostream>

#include <fmt/format.h>

#include "build/codec.h"
#include "build/strict_json.h"
#include "cli/input.h"
#include "cli/problems.h"
#include "cli/table.h"
#include "stations/prove.h"
#include "stations/report_json.h"

namespace fettle::cli {
namespace {

ExitCode exit_code(const stations::Report& report) {
  const Tally counts = tally(report);
  if (counts.fails > 0) {
    return ExitCode::something_fails;
  }
  return counts.too_close > 0 ? ExitCode::too_close : ExitCode::all_holds;
}

}  // namespace

ExitCode prove_command(const ProveRequest& request, std::istream& in, std::ostream& out, std::ostream& err) {
  const InputText input = read_input(request.path, in, build::JsonBounds{}.bytes);
  if (!input.text) {
    err << "fettle: " << input.problem << '\n';
    return ExitCode::bad_input;
  }
  const build::ReadBuild read = build::read_build(*input.text);
  if (!read.build) {
    write_problems(read.problems, request.json, out, err);
    return ExitCode::bad_input;
  }
  const stations::Report report = stations::prove(*read.build, {.trials = request.trials});
  if (request.json) {
    out << stations::report_json(report, stations::JsonLayout::indented) << '\n';
  } else {
    out << report_table(*read.build, report, {request.system, request.colour});
    if (request.first_start) {
      out << first_start_text(report);
    }
  }
  return exit_code(report);
}

}  // namespace fettle::cli
