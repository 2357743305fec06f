#include "serve/pulls.h"

#include <algorithm>
#include <ctime>
#include <random>

#include <fmt/chrono.h>
#include <fmt/format.h>
#include <sys/resource.h>
#include <tbb/task_arena.h>

namespace fettle::serve {
namespace {

/// Cores for a pull: all but the one that answers.
unsigned spare_cores() {
  return std::max(1U, std::thread::hardware_concurrency() - 1U);
}

/// Puts this thread, and those it will start, behind all others of the program: Linux keeps a priority for
/// each thread.
void step_back() {
  constexpr int by = 10;
  const int now = ::getpriority(PRIO_PROCESS, 0);
  static_cast<void>(::setpriority(PRIO_PROCESS, 0, std::min(19, now + by)));
}

std::string now_as_text() {
  return fmt::format("{:%Y-%m-%dT%H:%M:%SZ}", fmt::gmtime(std::time(nullptr)));
}

double seconds_since(std::chrono::steady_clock::time_point began) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
}

}  // namespace

std::string_view to_text(PullState state) {
  switch (state) {
    case PullState::waiting:
      return "waiting";
    case PullState::running:
      return "running";
    case PullState::done:
      return "done";
    case PullState::cancelled:
      return "cancelled";
    case PullState::failed:
      return "failed";
  }
  return "failed";
}

Pulls::Pulls(const PullBounds& bounds)
    : bounds_(bounds), prefix_(fmt::format("{:08x}", std::random_device{}())) {
  thread_ = std::thread([this] { work(); });
}

Pulls::~Pulls() {
  end();
}

void Pulls::end() {
  {
    const std::lock_guard lock(mutex_);
    ending_ = true;
    for (const auto& job : jobs_) {
      job->cancel = true;
    }
  }
  changed_.notify_all();
  if (thread_.joinable()) {
    thread_.join();
  }
}

std::optional<std::string> Pulls::start(PullSubject subject, PullOrder order,
                                        std::vector<build::Build> builds) {
  auto job = std::make_shared<Job>();
  job->builds = std::move(builds);
  PullStanding& standing = job->standing;
  standing.subject = std::move(subject);
  standing.at = now_as_text();
  standing.total = order.speeds() * order.variants.size();
  standing.order = std::make_shared<const PullOrder>(std::move(order));
  {
    const std::lock_guard lock(mutex_);
    const auto waiting = std::count_if(jobs_.begin(), jobs_.end(), [](const auto& one) {
      return one->standing.state == PullState::waiting;
    });
    if (ending_ || static_cast<std::size_t>(waiting) >= bounds_.waiting) {
      return std::nullopt;
    }
    standing.id = fmt::format("{}-{}", prefix_, ++made_);
    jobs_.push_back(job);
  }
  changed_.notify_all();
  return standing.id;
}

std::shared_ptr<Pulls::Job> Pulls::job(const std::string& id) const {
  const auto found =
      std::find_if(jobs_.begin(), jobs_.end(), [&](const auto& one) { return one->standing.id == id; });
  return found == jobs_.end() ? nullptr : *found;
}

std::optional<PullStanding> Pulls::find(const std::string& id) const {
  const std::lock_guard lock(mutex_);
  const auto found = job(id);
  return found ? std::optional(found->standing) : std::nullopt;
}

std::vector<PullStanding> Pulls::of(const std::string& engine) const {
  const std::lock_guard lock(mutex_);
  std::vector<PullStanding> standings;
  std::for_each(jobs_.rbegin(), jobs_.rend(), [&](const auto& one) {
    if (one->standing.subject.engine == engine) {
      standings.push_back(one->standing);
    }
  });
  return standings;
}

std::shared_ptr<const PullResults> Pulls::results(const std::string& id) const {
  const std::lock_guard lock(mutex_);
  const auto found = job(id);
  return found ? found->results : nullptr;
}

bool Pulls::cancel(const std::string& id) {
  std::shared_ptr<Job> found;
  bool waited = false;
  {
    const std::lock_guard lock(mutex_);
    found = job(id);
    if (!found) {
      return false;
    }
    found->cancel = true;
    waited = found->standing.state == PullState::waiting;
    if (waited) {
      has_ended(*found, PullState::cancelled);
    }
  }
  if (waited) {
    tell(*found);
  }
  return true;
}

std::shared_ptr<Pulls::Job> Pulls::next() {
  std::unique_lock lock(mutex_);
  const auto first_waiting = [this] {
    return std::find_if(jobs_.begin(), jobs_.end(),
                        [](const auto& one) { return one->standing.state == PullState::waiting; });
  };
  changed_.wait(lock, [&] { return ending_ || first_waiting() != jobs_.end(); });
  if (ending_) {
    return nullptr;
  }
  auto job = *first_waiting();
  job->standing.state = PullState::running;
  job->began = std::chrono::steady_clock::now();
  return job;
}

void Pulls::work() {
  step_back();
  // Within an arena of one: the library's own threads are those of the readings' proofs too, and any it
  // started from here would keep this thread's low priority.
  tbb::task_arena alone(1);
  while (const auto job = next()) {
    tell(*job);
    alone.execute([&] { run(*job); });
    tell(*job);
  }
}

void Pulls::run(Job& job) {
  auto results = std::make_shared<PullResults>();
  try {
    std::size_t done = 0;
    for (std::size_t i = 0; i < job.builds.size() && !job.cancel; ++i) {
      pull::PullOutcome outcome = pull::pull(job.builds[i], options_for(job, i, done));
      if (!outcome.result) {
        close(job, PullState::failed, outcome.problems.front().message(), nullptr);
        return;
      }
      results->push_back(std::move(*outcome.result));
      const std::lock_guard lock(mutex_);
      done = job.standing.done;
    }
    if (job.cancel) {
      close(job, PullState::cancelled, {}, nullptr);
    } else {
      close(job, PullState::done, {}, std::move(results));
    }
  } catch (const std::exception& error) {
    close(job, PullState::failed, error.what(), nullptr);
  }
}

pull::PullOptions Pulls::options_for(Job& job, std::size_t variant, std::size_t done_before) {
  const PullOrder& order = *job.standing.order;
  pull::PullOptions options = order.options;
  options.cam = {order.variants[variant].cam};
  options.threads = spare_cores();
  options.doubts = order.options.doubts && variant == 0;
  options.cancel = &job.cancel;
  options.progress = [this, &job, variant, done_before](const pull::Progress& progress) {
    note(job, progress, variant, done_before);
  };
  return options;
}

void Pulls::note(Job& job, const pull::Progress& progress, std::size_t variant, std::size_t done_before) {
  std::optional<PullPoint> point;
  if (progress.curve == 0) {
    point = PullPoint{variant, progress.speed, progress.brake_torque};
  }
  {
    const std::lock_guard lock(mutex_);
    PullStanding& standing = job.standing;
    standing.done = done_before + progress.done;
    standing.seconds = seconds_since(job.began);
    standing.total =
        done_before + progress.total + standing.order->speeds() * (job.builds.size() - variant - 1);
    if (point) {
      standing.so_far.push_back(*point);
    }
  }
  tell(job, point);
}

void Pulls::close(Job& job, PullState state, std::string says, std::shared_ptr<const PullResults> results) {
  const std::lock_guard lock(mutex_);
  job.standing.says = std::move(says);
  job.standing.seconds = seconds_since(job.began);
  job.results = std::move(results);
  if (state == PullState::done) {
    job.standing.so_far.clear();
  }
  has_ended(job, state);
}

/// Notes it, with the lock held, and forgets the one that ended longest ago where more are kept than may be.
void Pulls::has_ended(Job& job, PullState state) {
  job.standing.state = state;
  job.ended = ++ended_;
  job.builds.clear();
  auto oldest = jobs_.end();
  std::size_t kept = 0;
  for (auto one = jobs_.begin(); one != jobs_.end(); ++one) {
    if ((*one)->ended > 0) {
      ++kept;
      oldest = oldest == jobs_.end() || (*one)->ended < (*oldest)->ended ? one : oldest;
    }
  }
  if (kept > bounds_.kept) {
    jobs_.erase(oldest);
  }
}

void Pulls::tell(const Job& job, std::optional<PullPoint> point) {
  if (!on_news) {
    return;
  }
  PullStanding standing;
  {
    const std::lock_guard lock(mutex_);
    const PullStanding& now = job.standing;
    standing = {now.id,   now.subject, now.at, now.order,   now.state,
                now.done, now.total,   {},     now.seconds, now.says};
  }
  if (point) {
    standing.so_far.push_back(*point);
  }
  on_news(standing);
}

}  // namespace fettle::serve
