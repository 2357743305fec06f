#include "quantity/result.h"

#include <memory>
#include <string>

#include <gtest/gtest.h>

#include "quantity/quantity.h"

namespace fettle::quantity {
namespace {

Result<int, std::string> halve(int n) {
  if (n % 2 != 0) {
    return std::string("odd");
  }
  return n / 2;
}

TEST(Result, HoldsAValueOrAnError) {
  const auto good = halve(8);
  ASSERT_TRUE(good);
  EXPECT_EQ(*good, 4);
  const auto bad = halve(7);
  ASSERT_FALSE(bad);
  EXPECT_EQ(bad.error(), "odd");
  EXPECT_EQ(bad.value_or(-1), -1);
  EXPECT_EQ(good.value_or(-1), 4);
}

TEST(Result, AskingForThePartThatIsNotThereThrows) {
  EXPECT_THROW((void)halve(7).value(), std::invalid_argument);
  EXPECT_THROW((void)halve(8).error(), std::invalid_argument);
}

TEST(Result, CarriesWhatCanOnlyBeMoved) {
  Result<std::unique_ptr<int>, std::string> result(std::make_unique<int>(3));
  const std::unique_ptr<int> taken = *std::move(result);
  EXPECT_EQ(*taken, 3);
}

TEST(QuantityValue, ComparesBySiValueAndNotByText) {
  EXPECT_EQ(Length::typed(0.0254, "1 in"), Length::from_si(0.0254));
  EXPECT_LT(Length::from_si(0.01), Length::typed(0.0254, "1 in"));
}

TEST(QuantityValue, RefusesWhatIsNotFinite) {
  EXPECT_THROW(Length::from_si(std::nan("")), std::invalid_argument);
  EXPECT_THROW(Force::from_si(HUGE_VAL), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::quantity
