#include "study/pool.h"

#include <algorithm>
#include <exception>

#include <tbb/task_arena.h>

#include "study/evaluate.h"

namespace fettle::study {
namespace {

ChunkRows work_out(Evaluator& evaluator, const Plan& plan, std::uint64_t chunk,
                   const std::atomic<bool>* cancel) {
  ChunkRows result{chunk, {}, {}};
  const std::uint64_t first = plan.first(chunk);
  const std::uint64_t last = plan.last(chunk);
  result.rows.resize((last - first) * plan.width());
  for (std::uint64_t draw = first; draw < last; ++draw) {
    evaluator.evaluate(draw, std::span(result.rows).subspan((draw - first) * plan.width(), plan.width()));
    if (cancel != nullptr && cancel->load(std::memory_order_relaxed)) {
      result.rows.clear();
      return result;
    }
  }
  return result;
}

}  // namespace

ChunkPool::ChunkPool(const Plan& plan, unsigned threads, const std::atomic<bool>* cancel)
    : plan_(plan), cancel_(cancel) {
  for (unsigned i = 0; i < std::max(1U, threads); ++i) {
    threads_.emplace_back([this] {
      // What the stations would spread over further threads stays on this one.
      tbb::task_arena alone(1);
      alone.execute([this] { work(); });
    });
  }
}

ChunkPool::~ChunkPool() {
  {
    const std::lock_guard lock(mutex_);
    ended_ = true;
    to_do_.clear();
  }
  given_.notify_all();
  for (std::thread& thread : threads_) {
    thread.join();
  }
}

bool ChunkPool::cancelled() const {
  return cancel_ != nullptr && cancel_->load(std::memory_order_relaxed);
}

void ChunkPool::work() {
  std::optional<Evaluator> evaluator;
  while (true) {
    std::unique_lock lock(mutex_);
    given_.wait(lock, [this] { return ended_ || !to_do_.empty(); });
    if (ended_) {
      return;
    }
    const std::uint64_t chunk = to_do_.front();
    to_do_.pop_front();
    lock.unlock();
    ChunkRows result{chunk, {}, {}};
    try {
      if (!evaluator) {
        evaluator.emplace(plan_, cancel_);
      }
      result = work_out(*evaluator, plan_, chunk, cancel_);
    } catch (const std::exception& error) {
      result.error = error.what();
    }
    lock.lock();
    if (!cancelled()) {
      done_.push_back(std::move(result));
    }
    finished_.notify_one();
  }
}

void ChunkPool::give(std::uint64_t chunk) {
  {
    const std::lock_guard lock(mutex_);
    to_do_.push_back(chunk);
  }
  ++under_way_;
  given_.notify_one();
}

std::optional<ChunkRows> ChunkPool::take(std::chrono::milliseconds patience) {
  std::unique_lock lock(mutex_);
  finished_.wait_for(lock, patience, [this] { return !done_.empty(); });
  if (done_.empty()) {
    return std::nullopt;
  }
  ChunkRows result = std::move(done_.front());
  done_.pop_front();
  --under_way_;
  return result;
}

unsigned usable_cores() {
  return std::max(1U, std::thread::hardware_concurrency());
}

}  // namespace fettle::study
