#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <optional>
#include <vector>

#include "study/pool.h"
#include "study/results_file.h"

namespace fettle::study {

/// Others who work out chunks beside this process. None of the members waits.
class Helpers {
 public:
  virtual ~Helpers() = default;
  /// Whether one of them has too little to do.
  virtual bool wants_chunk() = 0;
  virtual void give(std::uint64_t chunk) = 0;
  virtual std::optional<ChunkRows> take() = 0;
  /// Chunks that were given to one who has been lost since the last call.
  virtual std::vector<std::uint64_t> lost() = 0;
};

struct RunOptions {
  unsigned threads = 1;
  const std::atomic<bool>* cancel = nullptr;
  Helpers* helpers = nullptr;
  std::function<void(std::uint64_t draws_done)> progress;  ///< from time to time, on the calling thread
};

/// Works out every chunk that the file has not, and puts it there, committed about once a second.
/// @returns whether the file is complete; not where it was cancelled. Throws std::runtime_error with what
/// went wrong in a draw.
bool run_study(const Plan& plan, ResultsFile& file, const RunOptions& options);

}  // namespace fettle::study
