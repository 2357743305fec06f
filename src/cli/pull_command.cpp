#include "cli/pull_command.h"

#include <numbers>
#include <ostream>

#include <fmt/format.h>

#include "cli/problems.h"
#include "cli/pull_table.h"
#include "pull/pull.h"
#include "pull/pull_json.h"
#include "quantity/parse.h"

namespace fettle::cli {
namespace {

constexpr double rpm = 2.0 * std::numbers::pi / 60.0;
constexpr double degree = std::numbers::pi / 180.0;

/// A quantity of the command line into `out`; false after saying what is wrong with it.
bool take(const std::string& text, quantity::Dimension dimension, const char* option, double least,
          double most, double& out, std::ostream& err) {
  if (text.empty()) {
    return true;
  }
  const auto parsed = quantity::parse_si(text, dimension);
  if (!parsed) {
    err << "fettle: " << option << ": " << parsed.error().message() << '\n';
    return false;
  }
  if (*parsed < least || *parsed > most) {
    err << "fettle: " << option << ": " << text << " is out of range\n";
    return false;
  }
  out = *parsed;
  return true;
}

pull::PullOptions options_of(const PullRequest& request, std::ostream& err) {
  pull::PullOptions options;
  options.from = request.from_rpm * rpm;
  options.to = request.to_rpm * rpm;
  options.step = request.step_rpm * rpm;
  options.cam.clear();
  for (const double degrees : request.cam_degrees) {
    options.cam.push_back(degrees * degree);
  }
  options.threads = request.threads;
  options.doubts = request.doubts;
  options.dynamic = request.dynamic;
  options.traces = request.traces;
  options.trace_cylinder = request.trace_cylinder;
  options.cancel = request.cancel;
  if (request.progress) {
    options.progress = [&err](const pull::Progress& p) {
      err << fmt::format("\r{} of {}: {:.0f} rpm   ", p.done, p.total, p.speed / rpm) << std::flush;
    };
  }
  return options;
}

ExitCode exit_code(const pull::PullResult& result) {
  for (const pull::Curve& curve : result.curves) {
    for (const pull::SpeedPoint& point : curve.points) {
      if (!point.converged) {
        return ExitCode::something_fails;
      }
    }
  }
  return ExitCode::all_holds;
}

}  // namespace

ExitCode pull_command(const PullRequest& request, std::istream& in, std::ostream& out, std::ostream& err) {
  pull::PullOptions options = options_of(request, err);
  if (!take(request.barometer, quantity::Dimension::pressure, "--barometer", 80e3, 110e3,
            options.ambient.pressure, err) ||
      !take(request.air, quantity::Dimension::temperature, "--air", 250.0, 330.0, options.ambient.temperature,
            err)) {
    return ExitCode::bad_input;
  }
  if (request.to_rpm < request.from_rpm) {
    err << "fettle: --to must not be below --from\n";
    return ExitCode::bad_input;
  }
  const auto build = read_build_file(request.path, request.json, in, out, err);
  if (!build) {
    return ExitCode::bad_input;
  }
  if (request.traces && request.trace_cylinder > static_cast<int>(build->engine.firing_order.size())) {
    err << "fettle: --trace: the engine has no cylinder " << request.trace_cylinder << '\n';
    return ExitCode::bad_input;
  }
  const pull::PullOutcome outcome = pull::pull(*build, options);
  if (request.progress) {
    err << "\r                              \r" << std::flush;
  }
  if (!outcome.result) {
    write_problems(outcome.problems, request.json, out, err);
    return ExitCode::bad_input;
  }
  if (outcome.result->cancelled) {
    err << "fettle: broken off; nothing was written\n";
    return ExitCode::something_fails;
  }
  if (request.json) {
    out << pull::pull_json(*outcome.result).dump(2, ' ', false, nlohmann::json::error_handler_t::replace)
        << '\n';
  } else {
    out << pull_table(*build, *outcome.result, request.system);
  }
  return exit_code(*outcome.result);
}

}  // namespace fettle::cli
