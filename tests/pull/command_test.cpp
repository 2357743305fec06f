#include <sstream>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "cli/pull_command.h"
#include "small_engine.h"

namespace fettle::pull::test {
namespace {

struct Said {
  cli::ExitCode code;
  std::string out, err;
};

Said say(const std::string& text, cli::PullRequest request) {
  std::istringstream in(text);
  std::ostringstream out;
  std::ostringstream err;
  request.path = "-";
  const cli::ExitCode code = cli::pull_command(request, in, out, err);
  return {code, out.str(), err.str()};
}

cli::PullRequest two_speeds() {
  cli::PullRequest request;
  request.from_rpm = 3000;
  request.to_rpm = 4000;
  request.step_rpm = 1000;
  return request;
}

TEST(PullCommand, PrintsATableOfEightyColumnsThatSaysItIsAPrediction) {
  const Said said = say(single_document().dump(), two_speeds());
  EXPECT_EQ(said.code, cli::ExitCode::all_holds) << said.err;
  EXPECT_NE(said.out.find("prediction"), std::string::npos);
  EXPECT_NE(said.out.find("Not validated"), std::string::npos);
  EXPECT_NE(said.out.find("does not say"), std::string::npos);
  std::istringstream lines(said.out);
  for (std::string line; std::getline(lines, line);) {
    EXPECT_LE(line.size(), 80U) << line;
  }
}

TEST(PullCommand, PrintsJsonWithEverySpeed) {
  cli::PullRequest request = two_speeds();
  request.json = true;
  request.cam_degrees = {-4, 4};
  const Said said = say(single_document().dump(), request);
  const auto json = nlohmann::json::parse(said.out);
  ASSERT_EQ(json["curves"].size(), 2U);
  EXPECT_EQ(json["curves"][1]["points"].size(), 2U);
  EXPECT_GT(json["curves"][1]["points"][0]["brake_torque"], 10.0);
  EXPECT_TRUE(json["prediction"]);
}

TEST(PullCommand, EndsWithTwoOnBadInput) {
  EXPECT_EQ(say("{", two_speeds()).code, cli::ExitCode::bad_input);
  auto document = single_document();
  document.erase("cam");
  const Said said = say(document.dump(), two_speeds());
  EXPECT_EQ(said.code, cli::ExitCode::bad_input);
  EXPECT_NE(said.err.find("cam.card"), std::string::npos);
  cli::PullRequest request = two_speeds();
  request.air = "25";
  EXPECT_EQ(say(single_document().dump(), request).code, cli::ExitCode::bad_input);
}

TEST(PullCommand, WritesNothingWhenBrokenOff) {
  const std::atomic<bool> cancel{true};
  cli::PullRequest request = two_speeds();
  request.cancel = &cancel;
  const Said said = say(single_document().dump(), request);
  EXPECT_EQ(said.code, cli::ExitCode::something_fails);
  EXPECT_TRUE(said.out.empty());
}

}  // namespace
}  // namespace fettle::pull::test
