#include "quantity/valve_event.h"

#include <array>
#include <cmath>
#include <optional>
#include <stdexcept>

#include <fmt/format.h>

#include "quantity/number.h"
#include "quantity/text.h"
#include "quantity/unit.h"

namespace fettle::quantity {
namespace {

using Parsed = Result<CrankAngle, ParseError>;

// All in crank degrees from overlap TDC.
struct EventTraits {
  std::string_view name;
  std::string_view name_with_article;
  double dead_centre;  // from which a card counts the event
  double card_sign;    // +1 where a card counts after it, -1 where it counts before it
  double earliest;
  double latest;
  std::string_view range;
  std::string_view example;
};

const EventTraits& traits_of(ValveEvent event) {
  static constexpr std::array traits = {
      EventTraits{"intake opening", "an intake opening", 0, -1, -100, 75, "100 BTDC to 75 ATDC", "14 BTDC"},
      EventTraits{"intake closing", "an intake closing", 180, 1, 140, 300, "40 BBDC to 120 ABDC", "38 ABDC"},
      EventTraits{"exhaust opening", "an exhaust opening", -180, -1, -280, -140, "100 BBDC to 40 ABDC",
                  "52 BBDC"},
      EventTraits{"exhaust closing", "an exhaust closing", 0, 1, -75, 100, "75 BTDC to 100 ATDC", "3 ATDC"},
  };
  const auto index = static_cast<std::size_t>(event);
  if (index >= traits.size()) {
    throw std::invalid_argument("traits_of: not a valve event");
  }
  return traits[index];
}

// Moved by whole turns to the one nearest the middle of the event's range.
double on_branch(double degrees, const EventTraits& traits) {
  const double middle = (traits.earliest + traits.latest) / 2;
  return degrees + 360 * std::round((middle - degrees) / 360);
}

bool is_allowed(double degrees, const EventTraits& traits) {
  constexpr double rounding = 1e-9;
  return degrees >= traits.earliest - rounding && degrees <= traits.latest + rounding;
}

// "14.0 BTDC" with as many decimals as needed when none are given.
std::string say(double degrees, const EventTraits& traits, std::optional<int> decimals) {
  const double after = degrees - traits.dead_centre;
  std::string amount =
      decimals ? fmt::format("{:.{}f}", std::abs(after), *decimals) : fmt::format("{:.6g}", std::abs(after));
  const bool is_zero = amount.find_first_of("123456789") == std::string::npos;
  const bool before = is_zero ? traits.card_sign < 0 : after < 0;
  return fmt::format("{} {}{}", amount, before ? 'B' : 'A', traits.dead_centre == 0 ? "TDC" : "BDC");
}

void replace(std::string& text, std::string_view what, std::string_view with) {
  for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + with.size())) {
    text.replace(at, what.size(), with);
  }
}

// Lower case, and one word for each way to name a dead centre.
std::string event_text(std::string_view text) {
  std::string plain = lower(plain_text(text));
  replace(plain, "center", "centre");
  replace(plain, "top dead centre", "tdc");
  replace(plain, "bottom dead centre", "bdc");
  replace(plain, "before ", "b");
  replace(plain, "after ", "a");
  replace(plain, "at ", "");
  return plain;
}

// A dead centre named in the text, and the text without it.
struct Named {
  double dead_centre;  // 0 or 180
  double sign;         // -1 before, +1 after, 0 at
  std::string amount;
};

std::optional<Named> take_dead_centre(std::string_view plain) {
  struct Word {
    std::string_view text;
    double dead_centre;
    double sign;
  };
  static constexpr std::array words = {
      Word{"btdc", 0, -1},  Word{"atdc", 0, 1}, Word{"bbdc", 180, -1},
      Word{"abdc", 180, 1}, Word{"tdc", 0, 0},  Word{"bdc", 180, 0},
  };
  for (const Word& word : words) {
    if (plain.ends_with(word.text)) {
      plain.remove_suffix(word.text.size());
      return Named{word.dead_centre, word.sign, std::string(trim(plain))};
    }
    if (plain.starts_with(word.text)) {
      plain.remove_prefix(word.text.size());
      return Named{word.dead_centre, word.sign, std::string(trim(plain))};
    }
  }
  return std::nullopt;
}

class EventReading {
 public:
  EventReading(std::string_view given, const EventTraits& traits)
      : given_(given.substr(0, longest_quantity + 1)), traits_(traits) {}

  Parsed parse() const;

 private:
  struct Amount {
    double degrees;
    bool has_sign;
  };

  ParseError error(std::string problem, std::string example) const {
    return {
        shown_text(given_), std::move(problem),
        fmt::format("{} between {}, or what the wheel shows there", traits_.name_with_article, traits_.range),
        std::move(example)};
  }
  ParseError error(std::string problem) const {
    return error(std::move(problem), std::string(traits_.example));
  }

  Result<Amount, ParseError> read_amount(std::string_view text) const;
  Parsed from_dead_centre(const Named& named) const;
  Parsed from_wheel(const Amount& amount) const;
  Parsed checked(double degrees) const;

  std::string_view given_;
  const EventTraits& traits_;
};

Result<EventReading::Amount, ParseError> EventReading::read_amount(std::string_view text) const {
  const Result<ScannedNumber, NumberProblem> number = scan_number(text);
  if (!number) {
    return error(number.error().problem);
  }
  const std::string_view unit_text = trim(text.substr(number->length));
  if (unit_text.empty()) {
    return Amount{number->value, number->has_sign};
  }
  const Unit* unit = find_unit(Dimension::angle, unit_text);
  if (unit == nullptr) {
    return error(fmt::format("has \"{}\" where degrees and a dead centre belong", shown_text(unit_text)));
  }
  const bool in_degrees = unit->symbol == "deg";
  return Amount{in_degrees ? number->value : to_si(number->value, *unit) / radians_per_degree,
                number->has_sign};
}

Parsed EventReading::checked(double degrees) const {
  if (!is_allowed(degrees, traits_)) {
    return error(fmt::format("is {}, where no {} lies", say(degrees, traits_, {}), traits_.name));
  }
  return CrankAngle::from_degrees(degrees);
}

Parsed EventReading::from_dead_centre(const Named& named) const {
  if (named.sign == 0) {
    if (!named.amount.empty()) {
      return error("does not say whether before or after the dead centre");
    }
    return checked(on_branch(named.dead_centre, traits_));
  }
  const Result<Amount, ParseError> amount = read_amount(named.amount);
  if (!amount) {
    return amount.error();
  }
  if (amount->has_sign) {
    const std::string_view centre = named.dead_centre == 0 ? "TDC" : "BDC";
    const double size = std::abs(amount->degrees);
    return error(fmt::format(
        "has a sign beside its before or after, and can be read as {0:.6g} B{1} and as {0:.6g} A{1}", size,
        centre));
  }
  if (amount->degrees > 180) {
    return error("is more than 180 degrees from its dead centre");
  }
  return checked(on_branch(named.dead_centre + named.sign * amount->degrees, traits_));
}

Parsed EventReading::from_wheel(const Amount& amount) const {
  if (std::abs(amount.degrees) > 360) {
    return error("is more than a wheel shows");
  }
  const double on_wheel = on_branch(amount.degrees, traits_);
  if (amount.has_sign) {
    return checked(on_wheel);
  }
  // A bare number may have been copied from a card, where the word behind it goes without saying.
  const double on_card = traits_.dead_centre + traits_.card_sign * amount.degrees;
  if (is_allowed(on_card, traits_) && on_card != on_wheel) {
    const std::string card = say(on_card, traits_, {});
    return error(
        fmt::format("can be read as {} from a card and as {} from a wheel", card, say(on_wheel, traits_, {})),
        card);
  }
  return checked(on_wheel);
}

Parsed EventReading::parse() const {
  if (given_.size() > longest_quantity) {
    return error(fmt::format("is longer than {} characters", longest_quantity));
  }
  const std::string plain = event_text(given_);
  if (plain.empty()) {
    return error("is empty");
  }
  if (const auto named = take_dead_centre(plain)) {
    return from_dead_centre(*named);
  }
  const Result<Amount, ParseError> amount = read_amount(plain);
  if (!amount) {
    return amount.error();
  }
  return from_wheel(*amount);
}

}  // namespace

std::string_view name(ValveEvent event) {
  return traits_of(event).name;
}

EventRange allowed_range(ValveEvent event) {
  const EventTraits& traits = traits_of(event);
  return {CrankAngle::from_degrees(traits.earliest), CrankAngle::from_degrees(traits.latest)};
}

Parsed parse_event(std::string_view text, ValveEvent event) {
  return EventReading(text, traits_of(event)).parse();
}

std::string print_event(CrankAngle angle, ValveEvent event, int decimals) {
  if (!std::isfinite(angle.radians())) {
    throw std::invalid_argument("print_event: the angle must be finite");
  }
  if (decimals < 0 || decimals > 6) {
    throw std::invalid_argument("print_event: decimals must lie between 0 and 6");
  }
  return say(angle.degrees(), traits_of(event), decimals);
}

}  // namespace fettle::quantity
