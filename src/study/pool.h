#pragma once

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <deque>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "study/plan.h"

namespace fettle::study {

/// Rows of one chunk, Plan::width() numbers each, or what went wrong.
struct ChunkRows {
  std::uint64_t chunk = 0;
  std::vector<double> rows;
  std::string error;
};

/// Threads that work out chunks of a plan. All members are for one thread.
class ChunkPool {
 public:
  /// `cancel`, set by the caller, makes it drop what it has begun.
  ChunkPool(const Plan& plan, unsigned threads, const std::atomic<bool>* cancel = nullptr);
  ~ChunkPool();
  ChunkPool(const ChunkPool&) = delete;
  ChunkPool& operator=(const ChunkPool&) = delete;

  void give(std::uint64_t chunk);
  /// Chunks given and not taken.
  std::size_t under_way() const { return under_way_; }
  std::size_t threads() const { return threads_.size(); }
  /// A finished chunk, in no order; nothing where none is finished in that time.
  std::optional<ChunkRows> take(std::chrono::milliseconds patience);

 private:
  void work();
  bool cancelled() const;

  const Plan& plan_;
  const std::atomic<bool>* cancel_;
  std::mutex mutex_;
  std::condition_variable given_, finished_;
  std::deque<std::uint64_t> to_do_;
  std::deque<ChunkRows> done_;
  bool ended_ = false;
  std::size_t under_way_ = 0;
  std::vector<std::thread> threads_;
};

/// Cores that this process may run on.
unsigned usable_cores();

}  // namespace fettle::study
