#include "cli/prove_command.h"

#include <ostream>

#include <fmt/format.h>

#include "build/codec.h"
#include "build/strict_json.h"
#include "cli/input.h"
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

void write_problems(const build::Problems& problems, const ProveRequest& request, std::ostream& out,
                    std::ostream& err) {
  if (request.json) {
    nlohmann::ordered_json list = nlohmann::ordered_json::array();
    for (const auto& problem : problems) {
      list.push_back({{"place", problem.place},
                      {"given", problem.given},
                      {"accepted", problem.accepted},
                      {"example", problem.example}});
    }
    out << nlohmann::ordered_json{{"problems", list}}.dump(2, ' ', false,
                                                           nlohmann::json::error_handler_t::replace)
        << '\n';
  }
  for (const auto& problem : problems) {
    err << "fettle: " << problem.message() << '\n';
  }
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
    write_problems(read.problems, request, out, err);
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
