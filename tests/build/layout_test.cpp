#include "build/layout.h"

#include <gtest/gtest.h>

namespace fettle::build {
namespace {

TEST(Layout, CommonWaysOfWritingAreUnderstood) {
  EXPECT_EQ(parse_layout("V8")->cylinders, 8);
  EXPECT_EQ(parse_layout("v-twin")->cylinders, 2);
  EXPECT_EQ(parse_layout("V2")->arrangement, Arrangement::vee);
  EXPECT_EQ(parse_layout("inline 6")->cylinders, 6);
  EXPECT_EQ(parse_layout("Inline-4")->arrangement, Arrangement::in_line);
  EXPECT_EQ(parse_layout("flat 4")->arrangement, Arrangement::flat);
  EXPECT_EQ(parse_layout("single")->cylinders, 1);
}

TEST(Layout, OthersAreRefused) {
  for (const char* text : {"", "V", "V7", "8", "inline", "inline 0", "inline 99", "V8x", "flat 3"}) {
    EXPECT_FALSE(parse_layout(text)) << text;
  }
}

}  // namespace
}  // namespace fettle::build
