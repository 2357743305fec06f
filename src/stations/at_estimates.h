#pragma once

#include <functional>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <span>
#include <tuple>

#include "stations/lobe_state.h"
#include "stations/observed.h"
#include "stations/spring_state.h"
#include "stations/valve_motion.h"

namespace fettle::stations {

/// Every lobe, and where the top end was read every valve's motion and spring, as it stands at the estimates,
/// and which inputs it looked at. While one input after the other is moved to see what comes of it, those
/// that do not look at it need not be worked out again.
class AtEstimates {
 public:
  explicit AtEstimates(const Sources& sources);

  /// The lobe at the estimates, where none of the inputs that were moved is one of its own; else null.
  const std::shared_ptr<const LobeState>* unmoved(const LobeKey& key,
                                                  std::span<const std::size_t> moved) const;
  /// The lobe with one input moved to a value, worked out once for all groups that look at it. Safe to call
  /// from several threads.
  std::shared_ptr<const LobeState> with_moved(
      const LobeKey& key, std::size_t input, double value,
      const std::function<std::shared_ptr<const LobeState>()>& work_out) const;
  /// As unmoved(), for a valve's motion.
  const std::optional<ValveMotion>* unmoved_motion(const LobeKey& key,
                                                   std::span<const std::size_t> moved) const;
  /// As unmoved(), for a spring.
  const SpringState* unmoved_spring(const LobeKey& key, std::span<const std::size_t> moved) const;

 private:
  template <class What>
  struct Standing {
    What state;
    Used used;
  };
  std::map<LobeKey, Standing<std::shared_ptr<const LobeState>>> lobes_;
  std::map<LobeKey, Standing<std::optional<ValveMotion>>> motions_;
  std::map<LobeKey, Standing<SpringState>> springs_;
  mutable std::mutex mutex_;
  mutable std::map<std::tuple<LobeKey, std::size_t, double>, std::shared_ptr<const LobeState>> moved_;
};

}  // namespace fettle::stations
