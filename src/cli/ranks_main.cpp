// `fettle study` as mpirun runs it: one process for each rank. Rank 0 hands out chunks, works itself and
// writes the file; the others work out chunks and send them back. Apart from the command, so that nothing
// else waits for MPI to be loaded.
#include <atomic>
#include <csignal>
#include <cstring>
#include <iostream>
#include <sstream>

#include <fmt/format.h>
#include <mpi.h>
#include <unistd.h>

#include "cli/study_options.h"

namespace {

using namespace std::chrono_literals;
using fettle::cli::ExitCode;
using fettle::cli::StudyRequest;
using fettle::study::ChunkPool;
using fettle::study::ChunkRows;
using Clock = std::chrono::steady_clock;

enum Tag { tag_hello = 1, tag_chunk, tag_rows, tag_alive, tag_end };

constexpr auto sign_of_life = 500ms;

std::atomic<bool> break_off{false};

std::vector<char> receive(const MPI_Status& status, MPI_Status& taken) {
  int size = 0;
  MPI_Get_count(&status, MPI_CHAR, &size);
  std::vector<char> bytes(static_cast<std::size_t>(size));
  MPI_Recv(bytes.data(), size, MPI_CHAR, status.MPI_SOURCE, status.MPI_TAG, MPI_COMM_WORLD, &taken);
  return bytes;
}

/// The next message that has come, if any; MPI is asked and not waited for, which would take a core.
std::optional<std::pair<MPI_Status, std::vector<char>>> next_message(int from = MPI_ANY_SOURCE) {
  int there = 0;
  MPI_Status status;
  if (MPI_Iprobe(from, MPI_ANY_TAG, MPI_COMM_WORLD, &there, &status) != MPI_SUCCESS || there == 0) {
    return std::nullopt;
  }
  MPI_Status taken;
  auto bytes = receive(status, taken);
  return std::pair(status, std::move(bytes));
}

/// Sends whose bytes must live until they have gone; none is waited for.
class Outbox {
 public:
  void send(int to, Tag tag, std::vector<char> bytes) {
    sent_.push_back({{}, std::move(bytes)});
    auto& [request, kept] = sent_.back();
    MPI_Isend(kept.data(), static_cast<int>(kept.size()), MPI_CHAR, to, tag, MPI_COMM_WORLD, &request);
    sweep();
  }
  void sweep() {
    while (!sent_.empty()) {
      int gone = 0;
      MPI_Test(&sent_.front().first, &gone, MPI_STATUS_IGNORE);
      if (gone == 0) {
        return;
      }
      sent_.pop_front();
    }
  }
  bool empty() {
    sweep();
    return sent_.empty();
  }

 private:
  std::deque<std::pair<MPI_Request, std::vector<char>>> sent_;
};

template <class T>
void append(std::vector<char>& bytes, const T* values, std::size_t count) {
  const auto* from = reinterpret_cast<const char*>(values);
  bytes.insert(bytes.end(), from, from + count * sizeof(T));
}

/// chunk, 0 or 1 for an error, then rows or the error's text.
std::vector<char> packed(const ChunkRows& rows) {
  std::vector<char> bytes;
  const std::uint64_t head[2] = {rows.chunk, rows.error.empty() ? 0U : 1U};
  append(bytes, head, 2);
  append(bytes, rows.rows.data(), rows.error.empty() ? rows.rows.size() : 0);
  append(bytes, rows.error.data(), rows.error.size());
  return bytes;
}

ChunkRows unpacked(const std::vector<char>& bytes) {
  std::uint64_t head[2] = {};
  std::memcpy(head, bytes.data(), sizeof head);
  ChunkRows rows{head[0], {}, {}};
  const char* rest = bytes.data() + sizeof head;
  const std::size_t size = bytes.size() - sizeof head;
  if (head[1] != 0) {
    rows.error.assign(rest, size);
  } else {
    rows.rows.resize(size / sizeof(double));
    std::memcpy(rows.rows.data(), rest, rows.rows.size() * sizeof(double));
  }
  return rows;
}

/// The other ranks, as rank 0 sees them.
class Ranks : public fettle::study::Helpers {
 public:
  /// A rank that says nothing for `patience` is taken for lost.
  Ranks(int count, const fettle::study::Plan& plan, std::chrono::duration<double> patience)
      : plan_(plan), patience_(patience), ranks_(static_cast<std::size_t>(count)) {}

  bool wants_chunk() override {
    poll();
    return free_rank() != 0;
  }
  void give(std::uint64_t chunk) override {
    const std::size_t rank = free_rank();
    ranks_[rank].chunks.push_back(chunk);
    std::vector<char> bytes;
    append(bytes, &chunk, 1);
    outbox_.send(static_cast<int>(rank), tag_chunk, std::move(bytes));
  }
  std::optional<ChunkRows> take() override {
    poll();
    if (come_.empty()) {
      return std::nullopt;
    }
    ChunkRows rows = std::move(come_.front());
    come_.pop_front();
    return rows;
  }
  std::vector<std::uint64_t> lost() override {
    std::vector<std::uint64_t> chunks;
    for (std::size_t rank = 1; rank < ranks_.size(); ++rank) {
      Rank& one = ranks_[rank];
      if (one.threads > 0 && !one.lost && Clock::now() - one.heard > patience_) {
        std::cerr << fmt::format("fettle: rank {} is lost; its {} chunks are worked out by others\n", rank,
                                 one.chunks.size());
        one.lost = true;
        any_lost_ = true;
        chunks.insert(chunks.end(), one.chunks.begin(), one.chunks.end());
        one.chunks.clear();
      }
    }
    return chunks;
  }

  /// Tells all that it is over; whether all of them heard it and went.
  bool end() {
    const auto until = Clock::now() + 5s;
    for (std::size_t rank = 1; rank < ranks_.size(); ++rank) {
      if (!ranks_[rank].lost) {
        outbox_.send(static_cast<int>(rank), tag_end, {});
      }
    }
    while (!any_lost_ && Clock::now() < until) {
      poll();
      bool all = outbox_.empty();
      for (std::size_t rank = 1; rank < ranks_.size(); ++rank) {
        all = all && ranks_[rank].gone;
      }
      if (all) {
        return true;
      }
      std::this_thread::sleep_for(1ms);
    }
    return ranks_.size() < 2;
  }

 private:
  struct Rank {
    std::size_t threads = 0;  ///< 0: has not said hello
    std::vector<std::uint64_t> chunks;
    Clock::time_point heard = Clock::now();
    bool lost = false;
    bool gone = false;
  };

  /// One with fewer chunks than keep its threads busy while a message is under way; 0: none.
  std::size_t free_rank() const {
    std::size_t best = 0;
    for (std::size_t rank = 1; rank < ranks_.size(); ++rank) {
      const Rank& one = ranks_[rank];
      const bool free = one.threads > 0 && !one.lost && one.chunks.size() < one.threads + 1;
      if (free && (best == 0 || one.chunks.size() < ranks_[best].chunks.size())) {
        best = rank;
      }
    }
    return best;
  }

  void poll() {
    while (auto message = next_message()) {
      const auto& [status, bytes] = *message;
      Rank& rank = ranks_[static_cast<std::size_t>(status.MPI_SOURCE)];
      rank.heard = Clock::now();
      if (status.MPI_TAG == tag_hello) {
        hello(rank, status.MPI_SOURCE, bytes);
      } else if (status.MPI_TAG == tag_rows) {
        ChunkRows rows = unpacked(bytes);
        std::erase(rank.chunks, rows.chunk);
        come_.push_back(std::move(rows));
      } else if (status.MPI_TAG == tag_end) {
        rank.gone = true;
      }
    }
    outbox_.sweep();
  }

  /// A rank that read another study, or is another program, must not work on this one.
  void hello(Rank& rank, int number, const std::vector<char>& bytes) const {
    std::uint64_t threads = 0;
    std::memcpy(&threads, bytes.data(), sizeof threads);
    const std::string digest(bytes.data() + sizeof threads, bytes.size() - sizeof threads);
    if (digest == plan_.digest) {
      rank.threads = threads;
    } else {
      std::cerr << fmt::format("fettle: rank {} has another study or build before it and is left out\n",
                               number);
    }
  }

  const fettle::study::Plan& plan_;
  std::chrono::duration<double> patience_;
  std::vector<Rank> ranks_;
  std::deque<ChunkRows> come_;
  Outbox outbox_;
  bool any_lost_ = false;
};

/// A rank other than 0: works until it is told to end.
void help(const fettle::study::Plan& plan, const StudyRequest& request) {
  ChunkPool pool(plan, request.threads > 0 ? request.threads : fettle::study::usable_cores(), &break_off);
  Outbox outbox;
  std::vector<char> hello;
  const std::uint64_t threads = pool.threads();
  append(hello, &threads, 1);
  append(hello, plan.digest.data(), plan.digest.size());
  outbox.send(0, tag_hello, std::move(hello));
  auto spoken = Clock::now();
  while (true) {
    while (auto message = next_message(0)) {
      if (message->first.MPI_TAG == tag_end) {
        break_off = true;
        outbox.send(0, tag_end, {});
        while (!outbox.empty()) {
          std::this_thread::sleep_for(1ms);
        }
        return;
      }
      std::uint64_t chunk = 0;
      std::memcpy(&chunk, message->second.data(), sizeof chunk);
      pool.give(chunk);
    }
    while (auto rows = pool.take(1ms)) {
      outbox.send(0, tag_rows, packed(*rows));
      spoken = Clock::now();
    }
    if (Clock::now() - spoken > sign_of_life) {
      outbox.send(0, tag_alive, {});
      spoken = Clock::now();
    }
    outbox.sweep();
  }
}

int run_rank(int rank, int count, StudyRequest& request) {
  // Only rank 0 speaks; what the others have to say it says too.
  std::ostringstream silent;
  std::istringstream nothing;
  std::ostream& err = rank == 0 ? std::cerr : silent;
  std::ostream& out = rank == 0 ? std::cout : silent;
  const auto plan = fettle::cli::read_study_file(request, nothing, out, err);
  if (!plan) {
    return static_cast<int>(ExitCode::bad_input);
  }
  if (rank != 0) {
    help(*plan, request);
    return 0;
  }
  Ranks ranks(count, *plan, std::chrono::duration<double>(request.patience));
  const ExitCode code = fettle::cli::run_study_plan(*plan, request, &ranks, out, err);
  out.flush();
  if (!ranks.end()) {
    // MPI_Finalize would wait for the lost rank for ever. All that matters is in the file.
    std::cerr.flush();
    MPI_Abort(MPI_COMM_WORLD, static_cast<int>(code));
  }
  return static_cast<int>(code);
}

int run(int argc, char** argv) {
  CLI::App app{"A study on many processes: mpirun -n 8 fettle study STUDY.json -o OUT", "fettle"};
  app.require_subcommand(1);
  StudyRequest request;
  bool metric = false;
  fettle::cli::add_study_options(*app.add_subcommand("study", "Many builds derived from one."), request,
                                 metric);
  int rank = 0;
  int count = 1;
  MPI_Comm_rank(MPI_COMM_WORLD, &rank);
  MPI_Comm_size(MPI_COMM_WORLD, &count);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    const int code = rank == 0 ? app.exit(error) : error.get_exit_code();
    return code == 0 ? 0 : static_cast<int>(ExitCode::bad_input);
  }
  if (request.path == "-") {
    if (rank == 0) {
      std::cerr << "fettle: under mpirun the study must be a file that every rank can read\n";
    }
    return static_cast<int>(ExitCode::bad_input);
  }
  request.system = metric ? fettle::quantity::System::metric : fettle::quantity::System::inch;
  request.progress = rank == 0 && isatty(STDERR_FILENO) != 0;
  request.cancel = &break_off;
  for (const int signal : {SIGINT, SIGTERM}) {
    std::signal(signal, [](int) { break_off.store(true, std::memory_order_relaxed); });
  }
  return run_rank(rank, count, request);
}

}  // namespace

int main(int argc, char** argv) {
  int provided = 0;
  // MPI is called from the main thread alone.
  MPI_Init_thread(&argc, &argv, MPI_THREAD_FUNNELED, &provided);
  // What goes wrong with one rank is no end of the others.
  MPI_Comm_set_errhandler(MPI_COMM_WORLD, MPI_ERRORS_RETURN);
  int code = static_cast<int>(ExitCode::bad_input);
  try {
    code = run(argc, argv);
  } catch (const std::exception& error) {
    std::cerr << "fettle: " << error.what() << '\n';
    MPI_Abort(MPI_COMM_WORLD, code);
  }
  MPI_Finalize();
  return code;
}
