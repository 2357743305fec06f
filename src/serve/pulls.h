#pragma once

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <functional>
#include <list>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <thread>
#include <vector>

#include "build/types.h"
#include "ledger/entry.h"
#include "pull/pull.h"
#include "serve/pull_order.h"

namespace fettle::serve {

enum class PullState { waiting, running, done, cancelled, failed };
std::string_view to_text(PullState state);

/// A point already run.
struct PullPoint {
  std::size_t variant = 0;
  double speed = 0.0;         ///< rad/s
  double brake_torque = 0.0;  ///< Nm
};

/// Of which engine, and who asked when.
struct PullSubject {
  std::string engine;
  ledger::EntryNumber version = 0;
  std::string by;
};

/// How a pull stands at this moment.
struct PullStanding {
  std::string id;
  PullSubject subject;
  std::string at;  ///< UTC, ISO 8601
  std::shared_ptr<const PullOrder> order;
  PullState state = PullState::waiting;
  std::size_t done = 0, total = 0;  ///< operating points, those for the doubts included
  std::vector<PullPoint> so_far;    ///< in the order they came
  double seconds = 0.0;             ///< that it ran
  std::string says;                 ///< why it failed
};

/// One result a variant, in their order.
using PullResults = std::vector<pull::PullResult>;

/// Runs pulls one after another on threads of low priority, one core left to those who answer, and keeps the
/// last results. Every member may be called from any thread.
class Pulls {
 public:
  explicit Pulls(const PullBounds& bounds = {});
  ~Pulls();
  Pulls(const Pulls&) = delete;
  Pulls& operator=(const Pulls&) = delete;

  /// @param builds one a variant, validated
  /// @returns its id, or nothing when too many wait
  std::optional<std::string> start(PullSubject subject, PullOrder order, std::vector<build::Build> builds);

  [[nodiscard]] std::optional<PullStanding> find(const std::string& id) const;
  /// Of one engine, the newest first.
  [[nodiscard]] std::vector<PullStanding> of(const std::string& engine) const;
  /// Nothing unless it is done.
  [[nodiscard]] std::shared_ptr<const PullResults> results(const std::string& id) const;
  /// One that has ended stays as it is. @returns false when there is none of this id
  bool cancel(const std::string& id);

  /// Cancels all and waits for the one at work: some tenths of a second.
  void end();

  [[nodiscard]] const PullBounds& bounds() const { return bounds_; }

  /// Called with the standing after every point and every change of state, without `so_far` but for the point
  /// just run; to be set before the first start().
  std::function<void(const PullStanding&)> on_news;

 private:
  struct Job {
    PullStanding standing;
    std::vector<build::Build> builds;
    std::atomic<bool> cancel = false;
    std::chrono::steady_clock::time_point began;
    std::shared_ptr<const PullResults> results;
    std::size_t ended = 0;  ///< as the how manieth; 0: not yet
  };

  void work();
  std::shared_ptr<Job> next();
  void run(Job& job);
  pull::PullOptions options_for(Job& job, std::size_t variant, std::size_t done_before);
  void note(Job& job, const pull::Progress& progress, std::size_t variant, std::size_t done_before);
  void close(Job& job, PullState state, std::string says, std::shared_ptr<const PullResults> results);
  void tell(const Job& job, std::optional<PullPoint> point = std::nullopt);
  void has_ended(Job& job, PullState state);
  [[nodiscard]] std::shared_ptr<Job> job(const std::string& id) const;

  PullBounds bounds_;
  std::string prefix_;  ///< of ids, another one for every run of the program
  mutable std::mutex mutex_;
  std::condition_variable changed_;
  std::list<std::shared_ptr<Job>> jobs_;  ///< in the order they were asked for
  std::size_t made_ = 0, ended_ = 0;
  bool ending_ = false;
  std::thread thread_;
};

}  // namespace fettle::serve
