// Any bytes are read as every dimension and every valve event. What is accepted must be finite, keep its text
// and survive being printed and read again; what is refused must say so in one line
// of bounded length, with an example that is itself accepted.

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <string_view>

#include "quantity/parse.h"
#include "quantity/print.h"
#include "quantity/unit.h"
#include "quantity/valve_event.h"

namespace {

using namespace fettle::quantity;

void require(bool holds, const char* what, std::string_view text) {
  if (!holds) {
    std::fprintf(stderr, "%s: \"%.*s\"\n", what, static_cast<int>(text.size()), text.data());
    std::abort();
  }
}

void check_error(const ParseError& error, std::string_view text) {
  const std::string message = error.message();
  require(message.size() < 600, "message too long", text);
  for (const char c : message) {
    const auto byte = static_cast<unsigned char>(c);
    require(byte >= 0x20 && byte != 0x7F, "message with control characters", text);
  }
}

void check_example(const ParseError& error, Dimension dimension, std::string_view text) {
  require(parse_si(error.example, dimension).has_value(), "example that is itself refused", text);
}

void check_printed(double si, Dimension dimension, std::string_view text) {
  for (const Unit& unit : all_units()) {
    if (unit.dimension != dimension) {
      continue;
    }
    PrintOptions options;
    options.decimals = 6;
    const std::string printed = print(si, unit, options);
    if (printed.size() > longest_quantity) {
      continue;
    }
    const auto again = parse_si(printed, dimension);
    // Rounding may carry a value just over an end of the accepted range.
    const bool at_an_end = std::abs(si) > 0.999e15 || (dimension == Dimension::temperature && si < 1e-5);
    require(again.has_value() || at_an_end, "printed text is refused", printed);
    if (again) {
      const double tolerance = 0.51e-6 * unit.factor + 1e-12 * (std::abs(si) + std::abs(unit.offset));
      require(std::abs(*again - si) <= tolerance, "printed text reads differently", text);
    }
  }
}

template <Dimension D>
void check_typed(std::string_view text) {
  if (const auto quantity = parse<D>(text)) {
    require(quantity->typed() == text, "typed text is lost", text);
    const auto again = parse<D>(quantity->typed());
    require(again.has_value() && *again == *quantity, "typed text reads differently", text);
  }
}

void check_event(std::string_view text, ValveEvent event) {
  const auto parsed = parse_event(text, event);
  if (!parsed) {
    check_error(parsed.error(), text);
    return;
  }
  const EventRange range = allowed_range(event);
  const CrankAngle rounding = CrankAngle::from_degrees(1e-8);
  require(*parsed >= range.earliest - rounding && *parsed <= range.latest + rounding, "event out of range",
          text);
  const auto again = parse_event(print_event(*parsed, event, 6), event);
  require(again && std::abs((*again - *parsed).degrees()) < 1e-6, "printed event reads differently", text);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  // The same bytes as characters, without a cast between pointer types.
  const std::string text(data, data + size);
  for (const Dimension dimension : all_dimensions) {
    const auto parsed = parse_si(text, dimension);
    if (!parsed) {
      check_error(parsed.error(), text);
      check_example(parsed.error(), dimension, text);
      continue;
    }
    require(std::isfinite(*parsed), "value that is not finite", text);
    check_printed(*parsed, dimension, text);
  }
  check_typed<Dimension::length>(text);
  check_typed<Dimension::angle>(text);
  check_typed<Dimension::temperature>(text);
  for (const ValveEvent event : {ValveEvent::intake_opening, ValveEvent::intake_closing,
                                 ValveEvent::exhaust_opening, ValveEvent::exhaust_closing}) {
    check_event(text, event);
  }
  return 0;
}
