#pragma once

#include <string_view>
#include <vector>

#include "stations/report.h"

namespace fettle::stations {

/// Finds findings in the order in which they stand, which is nearly always the order they are asked for in.
/// The findings must outlive it.
class Cursor {
 public:
  explicit Cursor(const std::vector<Finding>& findings) : findings_(findings) {}

  /// The finding of that id and place, check lifts alike to the bit, or null.
  const Finding* find(std::string_view id, const Where& where) {
    for (std::size_t tried = 0; tried < findings_.size(); ++tried) {
      const Finding& finding = findings_[(next_ + tried) % findings_.size()];
      if (finding.where == where && finding.id == id) {
        next_ += tried + 1;
        return &finding;
      }
    }
    return nullptr;
  }

 private:
  const std::vector<Finding>& findings_;
  std::size_t next_ = 0;
};

}  // namespace fettle::stations
