#include <iostream>

#include <CLI/CLI.hpp>
#include <unistd.h>

#include "cli/prove_command.h"

namespace {

using fettle::cli::ExitCode;

int run(int argc, char** argv) {
  CLI::App app{"Fettle: from readings off the bench to the state of the engine, with honest doubt.",
               "fettle"};
  app.set_version_flag("--version", std::string("fettle ") + FETTLE_VERSION);
  app.require_subcommand(1);

  fettle::cli::ProveRequest prove;
  bool metric = false;
  CLI::App* prove_app =
      app.add_subcommand("prove",
                         "All findings of a build with their verdicts.\n"
                         "Exit code: 0 all that is measured holds, 1 something fails, 2 bad input,\n"
                         "3 none fails but some are too close to call.");
  prove_app->add_option("BUILD", prove.path, "file with the build, - for standard input")->required();
  prove_app->add_flag("--json", prove.json, "print the findings as JSON, in SI units and radians");
  prove_app
      ->add_option("--trials", prove.trials,
                   "add a Monte Carlo run of this many trials (1000 or more; JCGM 101)")
      ->check(CLI::Range(std::size_t{1000}, std::size_t{10'000'000}));
  prove_app->add_flag("--metric", metric, "print lengths in mm");

  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    const int code = app.exit(error);
    return code == 0 ? 0 : static_cast<int>(ExitCode::bad_input);
  }
  prove.system = metric ? fettle::quantity::System::metric : fettle::quantity::System::inch;
  prove.colour = isatty(STDOUT_FILENO) != 0;
  const ExitCode code = fettle::cli::prove_command(prove, std::cin, std::cout, std::cerr);
  std::cout.flush();
  if (!std::cout) {
    std::cerr << "fettle: standard output cannot be written\n";
    return static_cast<int>(ExitCode::bad_input);
  }
  return static_cast<int>(code);
}

}  // namespace

int main(int argc, char** argv) {
  try {
    return run(argc, argv);
  } catch (const std::exception& error) {
    std::cerr << "fettle: " << error.what() << '\n';
    return static_cast<int>(ExitCode::bad_input);
  }
}
