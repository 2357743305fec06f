#pragma once

#include <map>
#include <optional>
#include <span>

#include "stations/lobe_state.h"
#include "stations/observed.h"
#include "stations/valve_motion.h"

namespace fettle::stations {

/// Every lobe, and where the top end was read every valve's motion, as it stands at the estimates, and which
/// inputs it looked at. While one input after the other is moved to see what comes of it, those that do not
/// look at it need not be worked out again.
class LobeMemo {
 public:
  explicit LobeMemo(const Sources& sources);

  /// The lobe at the estimates, where none of the inputs that were moved is one of its own; else null.
  const std::optional<LobeState>* unmoved(const LobeKey& key, std::span<const std::size_t> moved) const;
  /// The same for a valve's motion.
  const std::optional<ValveMotion>* unmoved_motion(const LobeKey& key,
                                                   std::span<const std::size_t> moved) const;

 private:
  template <class What>
  struct Standing {
    std::optional<What> state;
    Used used;
  };
  std::map<LobeKey, Standing<LobeState>> lobes_;
  std::map<LobeKey, Standing<ValveMotion>> motions_;
};

}  // namespace fettle::stations
