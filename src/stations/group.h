#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "stations/observed.h"
#include "stations/report.h"

namespace fettle::stations {

/// Id of a finding: a literal, so that handing it on through thousands of evaluations costs nothing.
class FindingId {
 public:
  // Implicit, so that a key is written with the id as it stands in docs/findings.md.
  constexpr FindingId(const char* literal) : text_(literal) {}
  constexpr std::string_view text() const { return text_; }
  friend constexpr bool operator==(FindingId a, FindingId b) {
    return a.text_.data() == b.text_.data() || a.text_ == b.text_;
  }
  friend constexpr bool operator==(FindingId a, std::string_view b) { return a.text_ == b; }

 private:
  std::string_view text_;
};

struct FindingKey {
  FindingId id;
  Where where;
  std::string basis;  ///< how the value was come by

  bool operator==(const FindingKey&) const = default;
};

struct Valued {
  FindingKey key;
  double value = 0;
};

/// Findings that look at the same readings: a pure function from the readings to values. Which findings it
/// gives may depend on which readings there are, not on what they say.
struct Group {
  std::function<std::vector<Valued>(const Observed&)> evaluate;
};

/// A finding that cannot be given yet, and what is missing for it.
struct Missing {
  FindingKey key;
  std::string needs;
};

}  // namespace fettle::stations
