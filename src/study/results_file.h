#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <stdexcept>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "study/plan.h"
#include "study/pool.h"
#include "study/summary.h"

namespace fettle::study {

/// A file of results that cannot be used: what is wrong and what to do.
class ResultsError : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// The file of a study's results: SQLite, its tables in docs/study.md. Chunks are put in any order; what has
/// been committed is there after any end of the process, and is not worked out again.
class ResultsFile {
 public:
  /// Opens the file, or makes it where there is none; an empty path: in memory. Throws ResultsError where it
  /// holds something else, or another run is writing it.
  ResultsFile(const std::filesystem::path& path, const Plan& plan);
  ~ResultsFile();
  ResultsFile(const ResultsFile&) = delete;
  ResultsFile& operator=(const ResultsFile&) = delete;

  bool has(std::uint64_t chunk) const { return done_[chunk]; }
  std::uint64_t chunks_done() const { return chunks_done_; }
  bool complete() const { return chunks_done_ == done_.size(); }

  /// Takes the rows of a chunk; those it has already are left as they are. In the file for good after
  /// commit().
  void put(const ChunkRows& rows);
  void commit();

  /// Columns [first, first + count) of all draws in their order: numbers, then results.
  Eigen::MatrixXd columns(std::size_t first, std::size_t count) const;
  /// Of all rows in the order of the draws, from the digests of the chunks: the same for the same study
  /// whoever worked out which part of it.
  std::string digest() const;
  void put_summary(const Summary& summary);

 private:
  struct State;
  void make();
  void take_up();

  const Plan& plan_;
  std::unique_ptr<State> state_;
  std::vector<bool> done_;
  std::uint64_t chunks_done_ = 0;
};

/// Digest of one chunk's rows, bit for bit (all that is not a number alike).
std::string digest_of_rows(std::span<const double> rows);

}  // namespace fettle::study
