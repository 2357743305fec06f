#include "study/run.h"

#include <deque>
#include <stdexcept>

namespace fettle::study {
namespace {

using Clock = std::chrono::steady_clock;

class Run {
 public:
  Run(const Plan& plan, ResultsFile& file, const RunOptions& options)
      : plan_(plan), file_(file), options_(options), pool_(plan, options.threads, options.cancel) {
    for (std::uint64_t chunk = 0; chunk < plan.chunks(); ++chunk) {
      if (!file.has(chunk)) {
        to_do_.push_back(chunk);
      }
    }
  }

  bool all() {
    while (!file_.complete() && !cancelled()) {
      hand_out();
      const bool alone = options_.helpers == nullptr;
      if (auto rows = pool_.take(std::chrono::milliseconds(alone ? 100 : 1))) {
        keep(*rows);
      }
      take_from_helpers();
      commit_now_and_then();
    }
    file_.commit();
    return file_.complete();
  }

 private:
  bool cancelled() const {
    return options_.cancel != nullptr && options_.cancel->load(std::memory_order_relaxed);
  }

  std::uint64_t next() {
    const std::uint64_t chunk = to_do_.front();
    to_do_.pop_front();
    return chunk;
  }

  void hand_out() {
    // One more than there are threads, so that none waits while rows are written.
    while (!to_do_.empty() && pool_.under_way() < pool_.threads() + 1) {
      pool_.give(next());
    }
    while (options_.helpers != nullptr && !to_do_.empty() && options_.helpers->wants_chunk()) {
      options_.helpers->give(next());
    }
  }

  void take_from_helpers() {
    if (options_.helpers == nullptr) {
      return;
    }
    while (auto rows = options_.helpers->take()) {
      keep(*rows);
    }
    for (const std::uint64_t chunk : options_.helpers->lost()) {
      if (!file_.has(chunk)) {
        to_do_.push_front(chunk);
      }
    }
  }

  void keep(const ChunkRows& rows) {
    if (!rows.error.empty()) {
      throw std::runtime_error(rows.error);
    }
    file_.put(rows);
  }

  void commit_now_and_then() {
    const auto now = Clock::now();
    if (now - committed_ < std::chrono::seconds(1)) {
      return;
    }
    committed_ = now;
    file_.commit();
    if (options_.progress) {
      options_.progress(std::min(plan_.draws, file_.chunks_done() * plan_.chunk));
    }
  }

  const Plan& plan_;
  ResultsFile& file_;
  const RunOptions& options_;
  ChunkPool pool_;
  std::deque<std::uint64_t> to_do_;
  Clock::time_point committed_ = Clock::now();
};

}  // namespace

bool run_study(const Plan& plan, ResultsFile& file, const RunOptions& options) {
  return file.complete() || Run(plan, file, options).all();
}

}  // namespace fettle::study
