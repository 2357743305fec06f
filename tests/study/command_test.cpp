// The command as it is run: killed and gone on with, under mpirun.
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <thread>

#include <SQLiteCpp/SQLiteCpp.h>
#include <fcntl.h>
#include <gtest/gtest.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include "study_support.h"

extern char** environ;

namespace fettle::study {
namespace {

using namespace std::chrono_literals;
using nlohmann::json;

/// A process with its standard output in a file; killed with the test.
class Child {
 public:
  Child(std::vector<std::string> arguments, const std::filesystem::path& output) : output_(output) {
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_addopen(&actions, 1, output.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600);
    posix_spawn_file_actions_addopen(&actions, 2, (output.string() + ".err").c_str(),
                                     O_WRONLY | O_CREAT | O_TRUNC, 0600);
    std::vector<char*> pointers;
    for (std::string& argument : arguments) {
      pointers.push_back(argument.data());
    }
    pointers.push_back(nullptr);
    if (posix_spawnp(&pid_, pointers[0], &actions, nullptr, pointers.data(), environ) != 0) {
      pid_ = 0;
    }
    posix_spawn_file_actions_destroy(&actions);
  }
  ~Child() {
    if (pid_ > 0) {
      ::kill(pid_, SIGKILL);
      wait();
    }
  }
  Child(const Child&) = delete;
  Child& operator=(const Child&) = delete;

  pid_t pid() const { return pid_; }
  bool running() {
    int status = 0;
    if (pid_ > 0 && ::waitpid(pid_, &status, WNOHANG) == pid_) {
      status_ = status;
      pid_ = 0;
    }
    return pid_ > 0;
  }
  /// Exit code, or -1 where a signal ended it.
  int wait() {
    if (pid_ > 0) {
      ::waitpid(pid_, &status_, 0);
      pid_ = 0;
    }
    return WIFEXITED(status_) ? WEXITSTATUS(status_) : -1;
  }
  std::string said() const { return text_of(output_); }
  std::string complained() const { return text_of(output_.string() + ".err"); }

 private:
  std::filesystem::path output_;
  pid_t pid_ = 0;
  int status_ = 0;
};

int chunks_in(const std::filesystem::path& file) {
  try {
    SQLite::Database reader(file, SQLite::OPEN_READONLY, 1000);
    return reader.execAndGet("SELECT count(*) FROM chunks").getInt();
  } catch (const SQLite::Exception&) {
    return 0;
  }
}

class StudyCommand : public testing::Test {
 protected:
  std::string write_study(int count) {
    const json study = {{"study", 1},
                        {"name", "block"},
                        {"build", FETTLE_EXAMPLES "/invented-four-short-block.json"},
                        {"draw", "sobol"},
                        {"count", count},
                        {"readings", true},
                        {"vary", {{{"path", "/bearings/oil/viscosity"}, {"tolerance", "1 mPa s"}}}}};
    const auto path = folder / "study.json";
    std::ofstream(path) << study.dump();
    return path.string();
  }
  std::vector<std::string> command(const std::string& study, const std::string& output, int threads = 1) {
    return {FETTLE_PROGRAM,         "study", study, "-o", (folder / output).string(), "--json", "--threads",
            std::to_string(threads)};
  }
  /// Digest of all rows as the summary has it.
  std::string digest_said(const Child& child) {
    const json summary = json::parse(child.said(), nullptr, false);
    return summary.is_object() ? summary.value("digest", "") : "";
  }
  std::string digest_alone(const std::string& study) {
    Child child(command(study, "alone.sqlite", 2), folder / "alone.json");
    EXPECT_EQ(child.wait(), 0) << child.complained();
    return digest_said(child);
  }
  static bool have_ranks() {
    return std::filesystem::exists(std::filesystem::path(FETTLE_PROGRAM).parent_path() / "fettle-ranks") &&
           std::system("command -v mpirun > /dev/null 2>&1") == 0;
  }
  /// Whether two processes can be begun at all: a machine may forbid what MPI needs for it.
  bool ranks_run() {
    Child child(under_mpirun(2, {"true"}), folder / "probe");
    return child.wait() == 0;
  }
  std::vector<std::string> under_mpirun(int ranks, const std::vector<std::string>& command) {
    // Messages through shared memory by copies of their own: another process' memory may be out of bounds.
    std::vector<std::string> all{"timeout",
                                 "120",
                                 "mpirun",
                                 "--allow-run-as-root",
                                 "--oversubscribe",
                                 "--bind-to",
                                 "none",
                                 "--mca",
                                 "btl_vader_single_copy_mechanism",
                                 "none",
                                 "-np",
                                 std::to_string(ranks)};
    all.insert(all.end(), command.begin(), command.end());
    return all;
  }

  OwnFolder folder;
};

TEST_F(StudyCommand, KilledItGoesOnWhereItWasAndGivesTheSame) {
  const std::string study = write_study(30000);
  {
    Child child(command(study, "out.sqlite"), folder / "out.json");
    while (child.running() && chunks_in(folder / "out.sqlite") == 0) {
      std::this_thread::sleep_for(20ms);
    }
    ASSERT_TRUE(child.running()) << "it ended before it could be killed: " << child.complained();
    ::kill(child.pid(), SIGKILL);
    EXPECT_EQ(child.wait(), -1);
  }
  const int kept = chunks_in(folder / "out.sqlite");
  EXPECT_GT(kept, 0);
  EXPECT_LT(kept, 150);
  Child again(command(study, "out.sqlite"), folder / "again.json");
  EXPECT_EQ(again.wait(), 0) << again.complained();
  EXPECT_EQ(digest_said(again), digest_alone(study));
}

TEST_F(StudyCommand, BrokenOffItSaysSo) {
  const std::string study = write_study(200000);
  Child child(command(study, "out.sqlite"), folder / "out.json");
  while (child.running() && chunks_in(folder / "out.sqlite") == 0) {
    std::this_thread::sleep_for(20ms);
  }
  ::kill(child.pid(), SIGINT);
  EXPECT_EQ(child.wait(), 1);
  EXPECT_NE(child.complained().find("the same command goes on from there"), std::string::npos);
  EXPECT_EQ(child.said(), "");
}

TEST_F(StudyCommand, BadInputIsTold) {
  std::ofstream(folder / "bad.json")
      << R"({ "study": 1, "name": "x", "build": "none.json", "draw": "rndom" })";
  Child child({FETTLE_PROGRAM, "study", (folder / "bad.json").string()}, folder / "out");
  EXPECT_EQ(child.wait(), 2);
  EXPECT_NE(child.complained().find("did you mean random?"), std::string::npos) << child.complained();
}

TEST_F(StudyCommand, RanksGiveTheSameRows) {
  if (!have_ranks()) {
    GTEST_SKIP() << "no fettle-ranks or no mpirun: libopenmpi-dev and openmpi-bin are needed (packages.txt)";
  }
  if (!ranks_run()) {
    GTEST_SKIP() << "mpirun cannot begin two processes on this machine";
  }
  const std::string study = write_study(4000);
  const std::string alone = digest_alone(study);
  for (const int ranks : {1, 3}) {
    const std::string name = "ranks" + std::to_string(ranks);
    Child child(under_mpirun(ranks, command(study, name + ".sqlite")), folder / name);
    EXPECT_EQ(child.wait(), 0) << child.complained();
    EXPECT_EQ(digest_said(child), alone) << ranks;
  }
}

}  // namespace
}  // namespace fettle::study
