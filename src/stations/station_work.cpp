#include "stations/station_work.h"

#include <array>

#include "stations/balance.h"
#include "stations/bore.h"
#include "stations/bottom_end.h"
#include "stations/cam_timing.h"
#include "stations/compression.h"
#include "stations/deck.h"
#include "stations/fastener.h"
#include "stations/follower.h"
#include "stations/lash.h"
#include "stations/mistakes.h"
#include "stations/pictures.h"
#include "stations/piston_valve.h"
#include "stations/rocker.h"
#include "stations/spring.h"
#include "stations/train.h"
#include "stations/true_tdc.h"

namespace fettle::stations {
namespace {

std::vector<Mistake> of_tdc(const Sources& sources, const Report& report,
                            const std::vector<Mistake>& /*earlier*/) {
  return tdc_mistakes(sources, report);
}

constexpr std::array all{
    StationWork{"bore", bore_station, bore_missing, bore_mistakes, bore_changes, bore_picture},
    StationWork{"bottom_end", bottom_end_station, bottom_end_missing, bottom_end_mistakes, bottom_end_changes,
                bottom_end_picture},
    StationWork{"fastener", fastener_station, fastener_missing, fastener_mistakes, nullptr, fastener_picture},
    StationWork{"balance", balance_station, balance_missing, balance_mistakes, balance_changes,
                balance_picture},
    StationWork{"deck", deck_station, deck_missing, deck_mistakes, deck_changes, deck_picture},
    StationWork{"compression", compression_station, compression_missing, compression_mistakes,
                compression_changes, compression_picture},
    StationWork{"tdc", true_tdc_station, true_tdc_missing, of_tdc, nullptr, tdc_picture},
    StationWork{"cam", cam_timing_station, cam_timing_missing, cam_mistakes, cam_changes, cam_picture},
    StationWork{"spring", spring_station, spring_missing, spring_mistakes, spring_changes, spring_picture},
    StationWork{"rocker", rocker_station, rocker_missing, rocker_mistakes, rocker_changes, rocker_picture},
    StationWork{"valve_train", train_station, train_missing, train_mistakes, train_changes, train_picture},
    StationWork{"piston_valve", piston_valve_station, piston_valve_missing, piston_valve_mistakes,
                piston_valve_changes, piston_valve_picture},
    StationWork{"lash", lash_station, lash_missing, lash_mistakes, lash_changes, lash_picture},
    StationWork{"follower", follower_station, follower_missing, follower_mistakes, nullptr, follower_picture},
};

}  // namespace

std::span<const StationWork> station_work() {
  return all;
}

}  // namespace fettle::stations
