#pragma once

#include <cstdint>
#include <cstdio>
#include <exception>
#include <functional>
#include <vector>

#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

namespace fettle::ledger::testing {

/// A child process and the numbers it reports. What it reported is known here even when it is killed.
class Child {
 public:
  using Report = std::function<void(std::int64_t)>;

  /// Runs `work` in a child; its return value is the exit status, an exception is status 100.
  explicit Child(const std::function<int(const Report&)>& work) {
    int ends[2] = {-1, -1};
    if (::pipe(static_cast<int*>(ends)) != 0) {
      ADD_FAILURE() << "no pipe";
      return;
    }
    pid_ = ::fork();
    if (pid_ == 0) {
      ::close(ends[0]);
      ::_exit(run(work, ends[1]));
    }
    ::close(ends[1]);
    read_ = ends[0];
  }
  Child(const Child&) = delete;
  Child& operator=(const Child&) = delete;
  ~Child() {
    if (read_ >= 0) {
      ::close(read_);
    }
    if (pid_ > 0 && !waited_) {
      ::kill(pid_, SIGKILL);
      ::waitpid(pid_, nullptr, 0);
    }
  }

  void kill() const { ::kill(pid_, SIGKILL); }

  /// The next number, or nothing at the end of the child.
  bool next(std::int64_t& number) const { return ::read(read_, &number, sizeof number) == sizeof number; }

  /// All numbers still to come, until the child ends.
  [[nodiscard]] std::vector<std::int64_t> rest() const {
    std::vector<std::int64_t> numbers;
    for (std::int64_t number = 0; next(number);) {
      numbers.push_back(number);
    }
    return numbers;
  }

  /// The exit status, or minus the signal that ended it.
  int wait() {
    int status = 0;
    ::waitpid(pid_, &status, 0);
    waited_ = true;
    return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
  }

 private:
  static int run(const std::function<int(const Report&)>& work, int write_end) {
    try {
      return work([write_end](std::int64_t number) {
        if (::write(write_end, &number, sizeof number) != sizeof number) {
          ::_exit(101);
        }
      });
    } catch (const std::exception& error) {
      std::fprintf(stderr, "in a child process: %s\n", error.what());
      return 100;
    }
  }

  pid_t pid_ = -1;
  int read_ = -1;
  bool waited_ = false;
};

}  // namespace fettle::ledger::testing
