#include "mechanism/valve_speed.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <span>
#include <stdexcept>

#include "mechanism/film.h"
#include "mechanism/follower.h"
#include "mechanism/valve_kernel.h"

namespace fettle::mechanism {

namespace {

constexpr std::size_t together = valve_kernel::lanes;

/// Two neighbouring speeds (or loads) with what was found at them.
struct Bracket {
  double below = 0.0;
  double above = 0.0;
  double squeeze_below = 0.0;
  double squeeze_above = 0.0;
};

/// Where the line between the two crosses zero.
double crossing(const Bracket& bracket) {
  const double rise = bracket.squeeze_below - bracket.squeeze_above;
  const double part = rise > 0.0 ? bracket.squeeze_below / rise : 0.5;
  return bracket.below + std::clamp(part, 0.0, 1.0) * (bracket.above - bracket.below);
}

/// The first change from contact to none within a bracket, from eight places inside it.
Bracket finer(const RunningLobe& lobe, const ValveTrain& train, const Bracket& bracket,
              const DynamicsOptions& options) {
  std::vector<double> speeds;
  for (std::size_t i = 1; i <= together; ++i) {
    speeds.push_back(bracket.below +
                     (bracket.above - bracket.below) * static_cast<double>(i) / (together + 1.0));
  }
  Bracket found = bracket;
  for (const RunningState& state : run_valve(lobe, train, speeds, options)) {
    if (state.least_squeeze <= 0.0) {
      found.above = state.speed;
      found.squeeze_above = state.least_squeeze;
      break;
    }
    found.below = state.speed;
    found.squeeze_below = state.least_squeeze;
  }
  return found;
}

/// The speeds of the first search.
std::vector<double> speeds_of(const SpeedRange& range) {
  std::vector<double> speeds{range.from};
  while (speeds.back() < range.to) {
    const double next = speeds.back() + std::min(range.step, range.part * speeds.back());
    // Not a last step next to nothing.
    speeds.push_back(next > range.to - 1e-9 * range.step ? range.to : next);
  }
  return speeds;
}

struct Seen {
  double speed = 0.0;
  double squeeze = 0.0;
};

/// Whether contact may be lost beside a place that is lower than both its neighbours: its depth, from the top
/// of the flank that is higher, could be √2 times what was seen.
bool may_hide_loss(const std::vector<Seen>& seen, std::size_t place) {
  const auto squeeze = [&](std::size_t i) { return seen[i].squeeze; };
  if (squeeze(place) >= squeeze(place - 1) || squeeze(place) >= squeeze(place + 1)) {
    return false;
  }
  std::size_t left = place - 1;
  while (left > 0 && squeeze(left - 1) > squeeze(left)) {
    --left;
  }
  std::size_t right = place + 1;
  while (right + 1 < seen.size() && squeeze(right + 1) > squeeze(right)) {
    ++right;
  }
  const double around = std::max(squeeze(left), squeeze(right));
  return around - std::numbers::sqrt2 * (around - squeeze(place)) <= 0.0;
}

/// The first loss of contact between two speeds that keep it, from eight places inside.
std::optional<Bracket> in_dip(const RunningLobe& lobe, const ValveTrain& train, const Seen& from,
                              const Seen& to, const DynamicsOptions& options) {
  const Bracket dip{from.speed, to.speed, from.squeeze, to.squeeze};
  const Bracket found = finer(lobe, train, dip, options);
  return found.squeeze_above <= 0.0 ? std::optional(found) : std::nullopt;
}

Separation between(const RunningLobe& lobe, const ValveTrain& train, Bracket bracket, int rounds,
                   const DynamicsOptions& options) {
  for (int i = 0; i < rounds; ++i) {
    bracket = finer(lobe, train, bracket, options);
  }
  return {crossing(bracket), false, bracket.above - bracket.below};
}

}  // namespace

Separation first_separation(const RunningLobe& lobe, const ValveTrain& train, const SpeedRange& range,
                            const DynamicsOptions& options) {
  if (!(range.from > 0.0 && range.to > range.from && range.step > 0.0 && std::isfinite(range.to) &&
        range.part > 0.0)) {
    throw std::invalid_argument("first_separation: the speeds must rise from above zero by steps");
  }
  const std::vector<double> speeds = speeds_of(range);
  const std::span<const double> all(speeds);
  std::vector<Seen> seen;
  std::size_t looked = 1;  // dips before this place were searched
  for (std::size_t first = 0; first < all.size(); first += together) {
    for (const RunningState& state :
         run_valve(lobe, train, all.subspan(first, std::min(together, all.size() - first)), options)) {
      seen.push_back({state.speed, state.least_squeeze});
      if (state.least_squeeze <= 0.0) {
        break;
      }
    }
    for (; looked + 1 < seen.size(); ++looked) {
      if (may_hide_loss(seen, looked)) {
        if (const auto hidden = in_dip(lobe, train, seen[looked - 1], seen[looked + 1], options)) {
          return between(lobe, train, *hidden, range.finer, options);
        }
      }
    }
    if (seen.back().squeeze <= 0.0) {
      if (seen.size() == 1) {
        return {seen.back().speed, true, 0.0};
      }
      const Seen& below = seen[seen.size() - 2];
      return between(lobe, train, {below.speed, seen.back().speed, below.squeeze, seen.back().squeeze},
                     range.finer, options);
    }
  }
  return {};
}

ValveTrain with_seat_load(const ValveTrain& train, double load) {
  ValveTrain changed = train;
  const double factor = load / standing_load(train, 0.0);
  for (ChainSpring& spring : changed.springs) {
    const double squeezed = (factor - 1.0) * spring.load / spring.rate;
    spring.load *= factor;
    if (spring.travel_to_solid) {
      // A spring that would be solid with its valve closed binds at the first tenth of a millimetre.
      spring.travel_to_solid = std::max(1e-4, *spring.travel_to_solid - squeezed);
    }
  }
  return changed;
}

std::optional<double> least_seat_load(const RunningLobe& lobe, const ValveTrain& train, double speed,
                                      const DynamicsOptions& options) {
  const double present = standing_load(train, 0.0);
  Bracket bracket{0.0, 6.0 * present, 0.0, 0.0};  // here "below" keeps no contact and "above" does
  constexpr int rounds = 3;
  for (int round = 0; round < rounds; ++round) {
    std::vector<RunningCase> cases;
    for (std::size_t i = 1; i <= together; ++i) {
      // The first round reaches the upper end, which is not known yet.
      const double parts = round == 0 ? static_cast<double>(together) : together + 1.0;
      const double load = bracket.below + (bracket.above - bracket.below) * static_cast<double>(i) / parts;
      cases.push_back({with_seat_load(train, load), speed});
    }
    const auto states = run_valve(lobe, cases, options);
    // From the highest load down: the last that still keeps contact.
    bool kept = round > 0;
    bool opened = false;
    for (std::size_t i = states.size(); i-- > 0 && !opened;) {
      const double load = standing_load(cases[i].train, 0.0);
      if (states[i].least_squeeze > 0.0) {
        bracket.above = load;
        bracket.squeeze_above = states[i].least_squeeze;
        kept = true;
      } else {
        bracket.below = load;
        bracket.squeeze_below = states[i].least_squeeze;
        opened = true;
      }
    }
    if (!kept) {
      return std::nullopt;
    }
  }
  // Nearly nothing keeps it already: as good as none.
  if (bracket.below == 0.0) {
    return bracket.above;
  }
  const double rise = bracket.squeeze_above - bracket.squeeze_below;
  const double part = rise > 0.0 ? -bracket.squeeze_below / rise : 1.0;
  return bracket.below + std::clamp(part, 0.0, 1.0) * (bracket.above - bracket.below);
}

std::vector<double> surge_orders(const RunningTrace& trace, int count) {
  std::vector<double> amplitudes;
  const auto samples = static_cast<double>(trace.coil.size());
  for (int k = 1; k <= count && trace.coil.size() > 1; ++k) {
    double cosine = 0.0;
    double sine = 0.0;
    for (std::size_t i = 0; i < trace.coil.size(); ++i) {
      const double angle = 2.0 * std::numbers::pi * k * static_cast<double>(i) / samples;
      cosine += trace.coil[i] * std::cos(angle);
      sine += trace.coil[i] * std::sin(angle);
    }
    amplitudes.push_back(2.0 * std::hypot(cosine, sine) / samples);
  }
  return amplitudes;
}

std::optional<TappetContact> tappet_contact(const RunningLobe& lobe, const RunningState& state,
                                            const TappetFace& face) {
  if (!state.trace) {
    return std::nullopt;
  }
  const double cam_speed = 0.5 * state.speed;
  const auto point = [&](double x) {
    // Per cam radian there are two crank radians.
    return FollowerPoint{lobe.lift->value(x) - lobe.base_level, 2.0 * lobe.lift->derivative(x, 1),
                         4.0 * lobe.lift->derivative(x, 2)};
  };
  TappetContact contact;
  double nose_force = 0.0;
  double nearest = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < state.trace->cam_force.size(); ++i) {
    const double x = state.trace->from + state.trace->step * static_cast<double>(i);
    const double radius = flat_curvature_radius(face.base_radius, point(x));
    if (!(radius > 0.0)) {
      return std::nullopt;
    }
    const double force = state.trace->cam_force[i];
    const double pressure = line_contact(force, face.width, 1.0 / radius, face.contact_modulus).peak_pressure;
    if (pressure > contact.peak_pressure) {
      contact.peak_pressure = pressure;
      contact.at = x;
    }
    if (std::abs(x - lobe.top) < nearest) {
      nearest = std::abs(x - lobe.top);
      nose_force = force;
    }
  }
  if (nose_force > 0.0) {
    const FollowerPoint nose = point(lobe.top);
    FilmContact film;
    film.load_per_length = nose_force / face.width;
    film.radius = flat_curvature_radius(face.base_radius, nose);
    film.modulus = 2.0 * face.contact_modulus;
    film.entrainment_speed = 0.5 * cam_speed * (face.base_radius + nose.s + 2.0 * nose.a);
    film.viscosity = face.viscosity;
    film.pressure_coefficient = face.pressure_coefficient;
    contact.nose_film = line_film(film).least;
    contact.film_ratio = film_ratio(contact.nose_film, face.roughness, 0.0);
  }
  return contact;
}

}  // namespace fettle::mechanism
