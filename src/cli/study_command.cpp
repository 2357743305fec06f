#include "cli/study_command.h"

#include <algorithm>
#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <ostream>

#include <fmt/format.h>
#include <unistd.h>

#include "build/codec.h"
#include "build/strict_json.h"
#include "cli/input.h"
#include "cli/problems.h"
#include "study/codec.h"
#include "study/results_file.h"
#include "study/summary.h"

namespace fettle::cli {
namespace {

/// The build that a study names, from the study's own folder.
std::optional<build::Build> read_named_build(const StudyRequest& request, const study::Study& study,
                                             std::istream& in, std::ostream& out, std::ostream& err) {
  std::filesystem::path path = study.build;
  if (path.is_relative() && request.path != "-") {
    path = std::filesystem::path(request.path).parent_path() / path;
  }
  return read_build_file(path.string(), request.json, in, out, err);
}

class ProgressLine {
 public:
  ProgressLine(const StudyRequest& request, const study::Plan& plan, std::ostream& err)
      : shown_(request.progress), plan_(plan), err_(err) {}
  ~ProgressLine() {
    if (shown_) {
      err_ << "\r                                        \r" << std::flush;
    }
  }
  ProgressLine(const ProgressLine&) = delete;
  ProgressLine& operator=(const ProgressLine&) = delete;

  void show(std::uint64_t done) const {
    if (shown_) {
      err_ << fmt::format("\r{} of {} draws   ", done, plan_.draws) << std::flush;
    }
  }

 private:
  bool shown_;
  const study::Plan& plan_;
  std::ostream& err_;
};

}  // namespace

std::unique_ptr<study::Plan> read_study_file(const StudyRequest& request, std::istream& in, std::ostream& out,
                                             std::ostream& err) {
  const InputText input = read_input(request.path, in, build::JsonBounds{}.bytes);
  if (!input.text) {
    err << "fettle: " << input.problem << '\n';
    return nullptr;
  }
  study::ReadStudy read = study::read_study(*input.text);
  if (!read.study) {
    write_problems(read.problems, request.json, out, err);
    return nullptr;
  }
  if (!read.build) {
    read.build = read_named_build(request, *read.study, in, out, err);
  }
  if (!read.build) {
    return nullptr;
  }
  study::PlanOutcome outcome = study::make_plan(*read.study, *read.build);
  if (!outcome.plan) {
    write_problems(outcome.problems, request.json, out, err);
  }
  return std::move(outcome.plan);
}

ExitCode run_study_plan(const study::Plan& plan, const StudyRequest& request, study::Helpers* helpers,
                        std::ostream& out, std::ostream& err) {
  if (plan.fit_anew) {
    err << fmt::format(
        "fettle: what is fitted to the readings is fitted anew for every draw, which takes longer{}{}\n",
        plan.fit_anew_for.empty() ? "" : ": it hangs on ", fmt::join(plan.fit_anew_for, ", "));
  }
  try {
    study::ResultsFile file(request.output, plan);
    study::RunOptions options;
    options.threads = request.threads > 0 ? request.threads : study::usable_cores();
    options.cancel = request.cancel;
    options.helpers = helpers;
    {
      const ProgressLine line(request, plan, err);
      options.progress = [&line](std::uint64_t done) { line.show(done); };
      if (!study::run_study(plan, file, options)) {
        err << fmt::format(
            "fettle: broken off after {} of {} draws; {}\n",
            std::min(plan.draws, file.chunks_done() * plan.chunk), plan.draws,
            request.output.empty() ? "nothing was kept" : "the same command goes on from there");
        return ExitCode::something_fails;
      }
    }
    const study::Summary summary = study::summarise(plan, file);
    file.put_summary(summary);
    if (request.json) {
      out << study::summary_json(plan, summary).dump(2, ' ', false, nlohmann::json::error_handler_t::replace)
          << '\n';
    } else {
      out << study::summary_text(plan, summary, request.system);
    }
    return ExitCode::all_holds;
  } catch (const study::ResultsError& error) {
    err << "fettle: " << error.what() << '\n';
    return ExitCode::bad_input;
  }
}

ExitCode study_command(const StudyRequest& request, std::istream& in, std::ostream& out, std::ostream& err) {
  const auto plan = read_study_file(request, in, out, err);
  return plan ? run_study_plan(*plan, request, nullptr, out, err) : ExitCode::bad_input;
}

std::string become_rank(char** arguments) {
  // What Open MPI's and other PMIx launchers set in every process they start.
  if (std::getenv("OMPI_COMM_WORLD_SIZE") == nullptr && std::getenv("PMIX_RANK") == nullptr) {
    return {};
  }
  std::error_code error;
  const auto own = std::filesystem::read_symlink("/proc/self/exe", error);
  const auto program = own.parent_path() / "fettle-ranks";
  if (!error) {
    ::execv(program.c_str(), arguments);
  }
  return fmt::format("{} cannot be started: {}; it is built where libopenmpi-dev is installed",
                     program.string(), std::strerror(errno));
}

}  // namespace fettle::cli
