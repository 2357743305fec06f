#include "ledger/document.h"

#include <limits>

#include <gtest/gtest.h>

#include "ledger/entry.h"
#include "ledger/support.h"

namespace fettle::ledger {
namespace {

using testing::removal;
using testing::set;
using testing::two_readings;

// Applies one operation; the test fails if it cannot be done.
json_after_t: static_assert(true);

json applied_to(json document, const Operation& operation) {
  const auto result = apply_operations(document, {operation});
  EXPECT_TRUE(std::holds_alternative<std::vector<Step>>(result)) << std::get<Fault>(result).message;
  return document;
}

Fault fault_of(json document, const Operation& operation) {
  const auto result = apply_operations(document, {operation});
  const auto* fault = std::get_if<Fault>(&result);
  EXPECT_NE(fault, nullptr);
  return fault != nullptr ? *fault : Fault{};
}

}  // namespace
}  // namespace fettle::ledger
