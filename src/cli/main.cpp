#include <atomic>
#include <csignal>
#include <functional>
#include <iostream>

#include <CLI/CLI.hpp>
#include <unistd.h>

#include "cli/compare_command.h"
#include "cli/counsel_command.h"
#include "cli/ledger_command.h"
#include "cli/prove_command.h"
#include "cli/pull_command.h"
#include "cli/record_command.h"
#include "cli/serve_command.h"
#include "cli/study_options.h"
#include "serve/server.h"

namespace {

using fettle::cli::ExitCode;
using fettle::cli::LedgerRequest;

/// What the command line asks for, once it has been read.
struct Command {
  fettle::cli::ProveRequest prove;
  fettle::cli::CounselRequest counsel;
  fettle::cli::CompareRequest compare;
  fettle::cli::PullRequest pull;
  fettle::cli::RecordRequest record;
  fettle::cli::StudyRequest study;
  fettle::cli::ServeRequest serve;
  LedgerRequest ledger;
  bool metric = false;
  std::function<int()> run;
};

void add_prove(CLI::App& app, Command& command) {
  auto& prove = command.prove;
  CLI::App* sub =
      app.add_subcommand("prove",
                         "All findings of a build with their verdicts.\n"
                         "Exit code: 0 all that is measured holds, 1 something fails, 2 bad input,\n"
                         "3 none fails but some are too close to call.");
  sub->add_option("BUILD", prove.path, "file with the build, - for standard input")->required();
  sub->add_flag("--json", prove.json, "print the findings as JSON, in SI units and radians");
  sub->add_option("--trials", prove.trials,
                  "add a Monte Carlo run of this many trials (1000 or more; JCGM 101)")
      ->check(CLI::Range(std::size_t{1000}, std::size_t{10'000'000}));
  sub->add_flag("--first-start", prove.first_start,
                "print the steps of the first start at the end (the JSON has them anyway)");
  sub->add_flag("--metric", command.metric, "print lengths in mm");
  sub->callback([&command] {
    command.run = [&command] {
      command.prove.system =
          command.metric ? fettle::quantity::System::metric : fettle::quantity::System::inch;
      command.prove.colour = isatty(STDOUT_FILENO) != 0;
      return static_cast<int>(fettle::cli::prove_command(command.prove, std::cin, std::cout, std::cerr));
    };
  });
}

void add_counsel(CLI::App& app, Command& command) {
  auto& counsel = command.counsel;
  CLI::App* sub =
      app.add_subcommand("counsel",
                         "What to do: each correction weighed by what it mends and what it harms, and\n"
                         "the fewest of them that make everything hold. Nothing is changed.\n"
                         "Exit code: as prove, of the build as it stands.");
  sub->add_option("BUILD", counsel.path, "file with the build, - for standard input")->required();
  sub->add_option("--together", counsel.most_together, "corrections made together, at most")
      ->capture_default_str()
      ->check(CLI::Range(1, 4));
  sub->add_flag("--json", counsel.json, "print it as JSON, in SI units and radians");
  sub->add_flag("--metric", command.metric, "print lengths in mm");
  sub->callback([&command] {
    command.run = [&command] {
      command.counsel.system =
          command.metric ? fettle::quantity::System::metric : fettle::quantity::System::inch;
      command.counsel.colour = isatty(STDOUT_FILENO) != 0;
      return static_cast<int>(fettle::cli::counsel_command(command.counsel, std::cin, std::cout, std::cerr));
    };
  });
}

void add_compare(CLI::App& app, Command& command) {
  auto& compare = command.compare;
  CLI::App* sub = app.add_subcommand("compare",
                                     "Two builds, or one at two times, finding by finding.\n"
                                     "Exit code: 0 no finding differs, 1 some do, 2 bad input.");
  sub->add_option("FROM", compare.from, "file with a build, - for standard input")->required();
  sub->add_option("TO", compare.to, "file with the other")->required();
  sub->add_flag("--json", compare.json, "print what differs as JSON, in SI units and radians");
  sub->add_flag("--metric", command.metric, "print lengths in mm");
  sub->callback([&command] {
    command.run = [&command] {
      command.compare.system =
          command.metric ? fettle::quantity::System::metric : fettle::quantity::System::inch;
      return fettle::cli::compare_command(command.compare, std::cin, std::cout, std::cerr);
    };
  });
}

/// Set by Ctrl-C while a pull or a study runs.
std::atomic<bool> break_off{false};
static_assert(std::atomic<bool>::is_always_lock_free);

void add_pull(CLI::App& app, Command& command) {
  auto& pull = command.pull;
  CLI::App* sub =
      app.add_subcommand("pull",
                         "Torque over engine speed, predicted from the build.\n"
                         "Exit code: 0 every speed was run to its end, 1 some were not or it was\n"
                         "broken off, 2 bad input.");
  sub->add_option("BUILD", pull.path, "file with the build, - for standard input")->required();
  sub->add_option("--from", pull.from_rpm, "lowest speed, rpm")
      ->capture_default_str()
      ->check(CLI::Range(200.0, 30000.0));
  sub->add_option("--to", pull.to_rpm, "highest speed, rpm")
      ->capture_default_str()
      ->check(CLI::Range(200.0, 30000.0));
  sub->add_option("--step", pull.step_rpm, "between speeds, rpm")
      ->capture_default_str()
      ->check(CLI::Range(50.0, 30000.0));
  sub->add_option("--cam", pull.cam_degrees, "crank degrees to bring the cam forward, a curve each: -4,0,4")
      ->delimiter(',')
      ->check(CLI::Range(-60.0, 60.0));
  sub->add_flag("--doubt", pull.doubts,
                "also what the doubt of the readings comes to in torque: takes five times as long");
  sub->add_flag("--dynamic", pull.dynamic,
                "valves as they run at each speed, by the build's valve_train (left out: as turned by hand)");
  sub->add_option("--barometer", pull.barometer,
                  "pressure of the dry air, with its unit (left out: 990 mbar)");
  sub->add_option("--air", pull.air, "temperature of the air, with its unit (left out: 25 C)");
  sub->add_option("--trace", pull.trace_cylinder, "with --json: pressures of this cylinder over crank angle")
      ->check(CLI::Range(1, 24))
      ->each([&pull](const std::string&) { pull.traces = true; });
  sub->add_option("--threads", pull.threads, "speeds at once (left out: as many as the machine has cores)")
      ->check(CLI::Range(1U, 1024U));
  sub->add_flag("--json", pull.json, "print the result as JSON, in SI units and radians");
  sub->add_flag("--metric", command.metric, "print Nm, kW, kPa and C");
  sub->callback([&command] {
    command.run = [&command] {
      command.pull.system =
          command.metric ? fettle::quantity::System::metric : fettle::quantity::System::inch;
      command.pull.progress = isatty(STDERR_FILENO) != 0;
      command.pull.cancel = &break_off;
      std::signal(SIGINT, [](int) { break_off.store(true, std::memory_order_relaxed); });
      return static_cast<int>(fettle::cli::pull_command(command.pull, std::cin, std::cout, std::cerr));
    };
  });
}

void add_study(CLI::App& app, Command& command, char** arguments) {
  CLI::App* sub =
      app.add_subcommand("study",
                         "Many builds derived from one: grids, Sobol draws, tolerance draws. Also\n"
                         "under mpirun.\n"
                         "Exit code: 0 every draw was worked out, 1 it was broken off and the\n"
                         "same command goes on with it, 2 bad input.");
  fettle::cli::add_study_options(*sub, command.study, command.metric);
  sub->callback([&command, arguments] {
    command.run = [&command, arguments] {
      const std::string problem = fettle::cli::become_rank(arguments);
      if (!problem.empty()) {
        std::cerr << "fettle: " << problem << '\n';
        return static_cast<int>(ExitCode::bad_input);
      }
      command.study.system =
          command.metric ? fettle::quantity::System::metric : fettle::quantity::System::inch;
      command.study.progress = isatty(STDERR_FILENO) != 0;
      command.study.cancel = &break_off;
      std::signal(SIGINT, [](int) { break_off.store(true, std::memory_order_relaxed); });
      return static_cast<int>(fettle::cli::study_command(command.study, std::cin, std::cout, std::cerr));
    };
  });
}

void add_record(CLI::App& app, Command& command) {
  auto& record = command.record;
  CLI::App* sub = app.add_subcommand(
      "record",
      "The record that leaves with the engine: one file of HTML, for any browser, that prints.\n"
      "Or, with --verify, whether such a file is unaltered and who signed it.\n"
      "Exit code: 0 done, 1 altered or not signed so, 2 bad input.");
  CLI::Option* build = sub->add_option("BUILD", record.path, "file with the build, - for standard input");
  sub->add_option("-o,--output", record.output, "file to write, - for standard output")->needs(build);
  sub->add_option("--shop", record.shop, "who hands the engine over")->needs(build);
  sub->add_option("--sign", record.key, "file with the shop's key, to sign with")->needs(build);
  sub->add_flag("--metric", command.metric, "mm first, inches beside")->needs(build);
  CLI::Option* verify = sub->add_option("--verify", record.verify, "a record to check")->excludes(build);
  sub->add_option("--key", record.open_key, "the key it has to be signed with")->needs(verify);
  sub->add_option("--new-key", record.new_key, "make a key for the shop in this new file")
      ->excludes(build)
      ->excludes(verify);
  sub->callback([&command, sub] {
    auto& asked = command.record;
    if (asked.verify.empty() && asked.new_key.empty() && (asked.path.empty() || asked.output.empty())) {
      throw CLI::RequiredError("BUILD -o FILE, or --verify FILE, or --new-key FILE");
    }
    command.run = [&command] {
      command.record.system =
          command.metric ? fettle::quantity::System::metric : fettle::quantity::System::inch;
      return static_cast<int>(fettle::cli::record_command(command.record, std::cin, std::cout, std::cerr));
    };
  });
}

void add_serve(CLI::App& app, Command& command) {
  auto& serve = command.serve;
  serve.port = fettle::serve::default_port;
  CLI::App* sub = app.add_subcommand(
      "serve",
      "The page, for a browser on this machine. Prints its address when it is ready.\n"
      "Ends on Ctrl-C. Exit code: 0 ended as asked, 1 ended by the system, 2 could not begin.");
  sub->add_option("--ledger", serve.ledger,
                  "the shop's ledger; made when there is none (default: fettle/ledger.fettle "
                  "in\n$XDG_DATA_HOME or ~/.local/share)");
  sub->add_option("--port", serve.port, "port on 127.0.0.1; 0 takes any that is free")
      ->capture_default_str()
      ->check(CLI::Range(0, 65535));
  sub->add_flag("--demo", serve.demo, "load the example engines when the ledger is empty");
  sub->add_option("--examples", serve.examples, "folder to take the example engines from");
  sub->callback([&command] {
    command.run = [&command] { return fettle::cli::serve_command(command.serve, std::cout, std::cerr); };
  });
}

void add_ledger_part(CLI::App& ledger, LedgerRequest& request, Command& command, const char* name,
                     const char* says, const std::function<void(CLI::App&)>& options,
                     const std::function<int()>& run) {
  CLI::App* sub = ledger.add_subcommand(name, says);
  sub->add_option("--ledger", request.ledger,
                  "the shop's ledger (default: fettle/ledger.fettle in $XDG_DATA_HOME or\n~/.local/share)");
  options(*sub);
  sub->callback([&command, run] { command.run = run; });
}

void add_ledger(CLI::App& app, Command& command) {
  LedgerRequest& request = command.ledger;
  CLI::App* ledger = app.add_subcommand("ledger",
                                        "The shop's store of engines and of every change made to them.\n"
                                        "Exit code: 0 done, 1 not sound or not there, 2 could not be done.");
  ledger->require_subcommand(1);
  const auto json = [&request](CLI::App& sub) { sub.add_flag("--json", request.json, "answer in JSON"); };
  add_ledger_part(
      *ledger, request, command, "list", "The engines.",
      [&](CLI::App& sub) {
        json(sub);
        sub.add_flag("--archived", request.archived, "those put away too");
      },
      [&request] { return fettle::cli::ledger_list(request, std::cout); });
  add_ledger_part(
      *ledger, request, command, "export", "One engine as a build, or with all its history.",
      [&](CLI::App& sub) {
        sub.add_option("ENGINE", request.engine, "its id, or its name where only one has it")->required();
        sub.add_option("-o,--output", request.file, "file to write; left out or -: standard output");
        sub.add_flag("--history", request.history, "every change ever made to it, for another ledger");
      },
      [&request] { return fettle::cli::ledger_export(request, std::cout, std::cerr); });
  add_ledger_part(
      *ledger, request, command, "import",
      "Take in a build, or a history from another ledger; prints the engine's id.",
      [&](CLI::App& sub) {
        json(sub);
        sub.add_option("FILE", request.file, "file to read, - for standard input")->required();
        sub.add_option("--by", request.by, "who brings it in");
      },
      [&request] { return fettle::cli::ledger_import(request, std::cin, std::cout, std::cerr); });
  add_ledger_part(
      *ledger, request, command, "backup", "A copy of the ledger as it stands, also while it is served.",
      [&](CLI::App& sub) {
        json(sub);
        sub.add_option("FILE", request.file, "file to make; an earlier backup is replaced")->required();
      },
      [&request] { return fettle::cli::ledger_backup(request, std::cout); });
  add_ledger_part(*ledger, request, command, "check",
                  "Read all of the ledger, replay every engine and compare.", json,
                  [&request] { return fettle::cli::ledger_check(request, std::cout); });
}

int run(int argc, char** argv) {
  CLI::App app{"Fettle: from readings off the bench to the state of the engine, with honest doubt.",
               "fettle"};
  app.set_version_flag("--version", std::string("fettle ") + FETTLE_VERSION);
  app.require_subcommand(1);
  Command command;
  add_prove(app, command);
  add_counsel(app, command);
  add_compare(app, command);
  add_pull(app, command);
  add_study(app, command, argv);
  add_record(app, command);
  add_serve(app, command);
  add_ledger(app, command);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    const int code = app.exit(error);
    return code == 0 ? 0 : static_cast<int>(ExitCode::bad_input);
  }
  const int code = command.run();
  std::cout.flush();
  if (!std::cout) {
    std::cerr << "fettle: standard output cannot be written\n";
    return static_cast<int>(ExitCode::bad_input);
  }
  return code;
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
