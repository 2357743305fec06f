#include "mechanism/card_numbers.h"

namespace fettle::mechanism {

CardNumbers card_numbers(const ValveEvents& events) {
  CardNumbers card;
  card.intake_duration = events.intake_closing - events.intake_opening;
  card.exhaust_duration = events.exhaust_closing - events.exhaust_opening;
  card.intake_centreline = 0.5 * (events.intake_opening + events.intake_closing);
  card.exhaust_centreline = -0.5 * (events.exhaust_opening + events.exhaust_closing);
  card.lobe_separation = 0.5 * (card.intake_centreline + card.exhaust_centreline);
  card.advance = 0.5 * (card.exhaust_centreline - card.intake_centreline);
  card.overlap = events.exhaust_closing - events.intake_opening;
  return card;
}

ValveEvents events_from_numbers(double lobe_separation, double advance, double intake_duration,
                                double exhaust_duration) {
  const double intake_centreline = lobe_separation - advance;
  const double exhaust_centreline = lobe_separation + advance;
  return {intake_centreline - 0.5 * intake_duration, intake_centreline + 0.5 * intake_duration,
          -exhaust_centreline - 0.5 * exhaust_duration, -exhaust_centreline + 0.5 * exhaust_duration};
}

double duration_between(double opening, double closing, double period) {
  return wrap_positive(closing - opening, period);
}

double centreline_between(double before, double after, double period) {
  return wrap_centred(before + 0.5 * wrap_positive(after - before, period), period);
}

}  // namespace fettle::mechanism
