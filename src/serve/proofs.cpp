#include "serve/proofs.h"

#include <algorithm>
#include <exception>
#include <stdexcept>

#include <tbb/task_group.h>

#include "stations/prove.h"
#include "stations/report_json.h"
#include "stations/station_work.h"

namespace fettle::serve {

using nlohmann::ordered_json;
using stations::Report;

Proof::Proof() : read_(std::make_shared<build::ReadBuild>()), json_(stations::report_json({})) {}

Proof::Proof(std::shared_ptr<const build::ReadBuild> read, const std::shared_ptr<stations::Memory>& memory)
    : read_(std::move(read)), json_(stations::report_json({})) {
  if (!read_->build) {
    return;
  }
  sources_ = std::make_shared<const stations::Sources>(*read_->build, memory);
  report_ = stations::prove(*sources_);
  json_ = stations::report_json(report_);
}

std::string Proof::picture(std::string_view station) const {
  const auto work = stations::station_work();
  const auto drawn =
      std::find_if(work.begin(), work.end(), [&](const auto& one) { return one.id == station; });
  if (drawn == work.end()) {
    throw std::invalid_argument("Proof::picture: no station of this id");
  }
  const ordered_json picture = sources_ ? drawn->picture(*sources_, report_) : ordered_json::object();
  return picture.dump(-1, ' ', false, ordered_json::error_handler_t::replace);
}

Counts counts_of(const Report& report) {
  return {stations::tally(report), static_cast<int>(report.mistakes.size())};
}

Proofs::Proofs(std::size_t most) : most_(most), memory_(std::make_shared<stations::Memory>()) {}

std::shared_ptr<const Proof> Proofs::known(const std::string& engine, ledger::EntryNumber version) {
  const std::lock_guard lock(mutex_);
  const auto place = places_.find({engine, version});
  if (place == places_.end()) {
    return nullptr;
  }
  recent_.splice(recent_.begin(), recent_, place->second);
  return place->second->proof;
}

/// A proof at work among the tasks of the machine's cores; who asks for it lends a hand.
class Proofs::Begun {
 public:
  Begun(std::shared_ptr<const build::ReadBuild> read, std::shared_ptr<stations::Memory> memory)
      : read_(std::move(read)) {
    work_.run([this, memory = std::move(memory)] {
      try {
        proof_ = std::make_shared<const Proof>(read_, memory);
      } catch (...) {
        failure_ = std::current_exception();
      }
    });
  }
  Begun(const Begun&) = delete;
  Begun& operator=(const Begun&) = delete;
  ~Begun() { work_.wait(); }

  bool is_of(const std::shared_ptr<const build::ReadBuild>& read) const { return read_ == read; }

  std::shared_ptr<const Proof> get() {
    work_.wait();
    if (failure_) {
      std::rethrow_exception(failure_);
    }
    return proof_;
  }

 private:
  std::shared_ptr<const build::ReadBuild> read_;
  std::shared_ptr<const Proof> proof_;
  std::exception_ptr failure_;
  tbb::task_group work_;
};

Proofs::~Proofs() = default;

void Proofs::begin(const std::shared_ptr<const build::ReadBuild>& read) {
  constexpr std::size_t most_begun = 4;
  if (!read->build) {
    return;
  }
  std::unique_ptr<Begun> forgotten;  // waited for outside the lock
  const std::lock_guard lock(mutex_);
  if (std::any_of(begun_.begin(), begun_.end(), [&](const auto& one) { return one->is_of(read); })) {
    return;
  }
  begun_.push_front(std::make_unique<Begun>(read, memory_));
  if (begun_.size() > most_begun) {
    forgotten = std::move(begun_.back());
    begun_.pop_back();
  }
}

std::shared_ptr<const Proof> Proofs::prove(const std::shared_ptr<const build::ReadBuild>& read) {
  std::unique_ptr<Begun> begun;
  {
    const std::lock_guard lock(mutex_);
    const auto found =
        std::find_if(begun_.begin(), begun_.end(), [&](const auto& one) { return one->is_of(read); });
    if (found != begun_.end()) {
      begun = std::move(*found);
      begun_.erase(found);
    }
  }
  return begun ? begun->get() : std::make_shared<const Proof>(read, memory_);
}

std::shared_ptr<const Proof> Proofs::of(const std::string& engine, ledger::EntryNumber version,
                                        const nlohmann::json& document) {
  if (auto found = known(engine, version)) {
    return found;
  }
  auto proof = prove(builds_->of(document));
  const std::lock_guard lock(mutex_);
  auto& count = counts_[engine];
  if (version >= count.first) {
    count = {version, counts_of(proof->report())};
  }
  const Key key{engine, version};
  if (const auto place = places_.find(key); place != places_.end()) {
    return place->second->proof;  // somebody else was quicker
  }
  recent_.push_front({key, proof});
  places_[key] = recent_.begin();
  if (recent_.size() > most_) {
    places_.erase(recent_.back().key);
    recent_.pop_back();
  }
  return proof;
}

std::optional<Counts> Proofs::counts(const std::string& engine, ledger::EntryNumber version) {
  const std::lock_guard lock(mutex_);
  const auto found = counts_.find(engine);
  if (found == counts_.end() || found->second.first != version) {
    return std::nullopt;
  }
  return found->second.second;
}

std::string moved_json(const Report& from, const Report& to) {
  return stations::movements_json(stations::movements_between(from, to));
}

}  // namespace fettle::serve
