#pragma once

#include <list>
#include <map>
#include <memory>
#include <mutex>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "mechanism/journal_table.h"
#include "mechanism/lobe_card.h"
#include "mechanism/lobe_sweep.h"
#include "metrology/uncertainty.h"

namespace fettle::stations {

struct TrainSpeeds;

/// Places of a swept lobe's features in ReducedSweep::block.
struct SweptFeature {
  static constexpr Eigen::Index max_lift() { return 0; }
  static constexpr Eigen::Index top() { return 1; }
  static constexpr Eigen::Index opening(std::size_t check) {
    return 2 + 2 * static_cast<Eigen::Index>(check);
  }
  static constexpr Eigen::Index closing(std::size_t check) { return opening(check) + 1; }
};

/// A sweep fitted and reduced, with the doubt of its features as independent modes. A fit that did not
/// converge has a reduction that found nothing and no modes.
struct ReducedSweep {
  mechanism::SweepFit fit;
  mechanism::LobeReduction reduction;
  metrology::BlockInputs block;
};

/// Latest results of one pure function by the bytes of its arguments; the least used go first. Safe to share
/// between threads; what is not known is worked out outside the lock.
template <class Value>
class Kept {
 public:
  explicit Kept(std::size_t most) : most_(most) {}

  template <class Make>
  std::shared_ptr<const Value> get(const std::string& key, Make make) {
    if (auto known = find(key)) {
      return known;
    }
    auto made = std::make_shared<const Value>(make());
    const std::lock_guard lock(mutex_);
    if (!places_.contains(key)) {
      recent_.emplace_front(key, made);
      places_[key] = recent_.begin();
    }
    if (recent_.size() > most_) {
      places_.erase(recent_.back().first);
      recent_.pop_back();
    }
    return made;
  }

 private:
  using Recent = std::list<std::pair<std::string, std::shared_ptr<const Value>>>;

  std::shared_ptr<const Value> find(const std::string& key) {
    const std::lock_guard lock(mutex_);
    const auto place = places_.find(key);
    if (place == places_.end()) {
      return nullptr;
    }
    recent_.splice(recent_.begin(), recent_, place->second);
    return place->second->second;
  }

  std::size_t most_;
  std::mutex mutex_;
  Recent recent_;  // latest used first
  std::map<std::string, typename Recent::iterator> places_;
};

/// What is worth keeping from one proof to the next: a change of one reading leaves the card and nearly all
/// sweeps as they were. Results are the same with and without it, to the bit.
class Memory {
 public:
  std::shared_ptr<const mechanism::SynthesisedLobe> lobe(const mechanism::LobeCard& card);
  /// Check lifts are on the indicator's basis, m.
  std::shared_ptr<const ReducedSweep> sweep(std::span<const mechanism::SweepPoint> points,
                                            const std::vector<double>& check_lifts);
  /// Films of bearings of one shape, l/d in [0.1, 4].
  std::shared_ptr<const mechanism::JournalTable> journal(double length_over_diameter);
  /// Valve trains run, by train_speeds.h.
  Kept<TrainSpeeds>& trains() { return trains_; }

 private:
  // Some engines' worth: 16 sweeps and two lobes each.
  Kept<mechanism::SynthesisedLobe> lobes_{64};
  Kept<ReducedSweep> sweeps_{256};
  Kept<mechanism::JournalTable> journals_{32};
  Kept<TrainSpeeds> trains_{64};
};

}  // namespace fettle::stations
