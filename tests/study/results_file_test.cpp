#include "study/results_file.h"

#include <cmath>

#include <SQLiteCpp/SQLiteCpp.h>
#include <gtest/gtest.h>

#include "study/run.h"
#include "study_support.h"

namespace fettle::study {
namespace {

using nlohmann::json;

json block_study(int count, int seed) {
  return {{"study", 1},
          {"name", "block"},
          {"build", "x"},
          {"draw", "random"},
          {"count", count},
          {"seed", seed},
          {"readings", true},
          {"vary",
           {{{"path", "/bearings/oil/viscosity"}, {"name", "oil"}, {"tolerance", "1 mPa s"}},
            {{"path", "/engine/bore"}, {"name", "bore"}, {"sd", "0.01 mm"}}}}};
}

std::unique_ptr<Plan> block_plan(int count, int seed = 5) {
  return plan_of(block_study(count, seed), example_build("invented-four-short-block.json"));
}

std::string digest_of_run(const Plan& plan, unsigned threads) {
  ResultsFile file("", plan);
  RunOptions options;
  options.threads = threads;
  EXPECT_TRUE(run_study(plan, file, options));
  return file.digest();
}

TEST(ResultsFile, RowsAreTheSameInAnyNumberOfThreads) {
  const auto plan = block_plan(2100);
  ASSERT_NE(plan, nullptr);
  const std::string alone = digest_of_run(*plan, 1);
  EXPECT_EQ(digest_of_run(*plan, 2), alone);
  EXPECT_EQ(digest_of_run(*plan, 5), alone);
  EXPECT_NE(digest_of_run(*block_plan(2100, 6), 1), alone);
}

TEST(ResultsFile, WhatIsThereIsNotWorkedOutAgain) {
  const OwnFolder folder;
  const auto plan = block_plan(1500);
  ASSERT_NE(plan, nullptr);
  {
    ResultsFile file(folder / "out.sqlite", *plan);
    ChunkPool pool(*plan, 1);
    for (const std::uint64_t chunk : {3U, 0U}) {
      pool.give(chunk);
      std::optional<ChunkRows> rows;
      while (!(rows = pool.take(std::chrono::milliseconds(1000)))) {
      }
      ASSERT_EQ(rows->error, "");
      file.put(*rows);
    }
    file.commit();
    EXPECT_FALSE(file.complete());
  }
  ResultsFile again(folder / "out.sqlite", *plan);
  EXPECT_TRUE(again.has(0));
  EXPECT_FALSE(again.has(1));
  EXPECT_TRUE(again.has(3));
  ASSERT_TRUE(run_study(*plan, again, {}));
  EXPECT_EQ(again.digest(), digest_of_run(*plan, 2));
}

TEST(ResultsFile, WhatWasNotCommittedIsNotThere) {
  const OwnFolder folder;
  const auto plan = block_plan(600);
  ASSERT_NE(plan, nullptr);
  {
    ResultsFile file(folder / "out.sqlite", *plan);
    ChunkRows rows{1, std::vector<double>(200 * plan->width(), 1.0), {}};
    file.put(rows);
  }
  const ResultsFile again(folder / "out.sqlite", *plan);
  EXPECT_FALSE(again.has(1));
}

TEST(ResultsFile, AnotherStudysFileIsRefused) {
  const OwnFolder folder;
  const auto plan = block_plan(600);
  const auto other = block_plan(600, 99);
  { const ResultsFile file(folder / "out.sqlite", *plan); }
  EXPECT_THROW(ResultsFile(folder / "out.sqlite", *other), ResultsError);
  std::ofstream(folder / "text") << std::string(5000, 'x');
  EXPECT_THROW(ResultsFile(folder / "text", *plan), ResultsError);
  {
    SQLite::Database(folder / "plain.sqlite", SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE)
        .exec("CREATE TABLE t (x)");
  }
  EXPECT_THROW(ResultsFile(folder / "plain.sqlite", *plan), ResultsError);
}

TEST(ResultsFile, ASecondWriterIsToldAndAReaderIsNot) {
  const OwnFolder folder;
  const auto plan = block_plan(600);
  const ResultsFile file(folder / "out.sqlite", *plan);
  EXPECT_THROW(ResultsFile(folder / "out.sqlite", *plan), ResultsError);
  SQLite::Database reader(folder / "out.sqlite", SQLite::OPEN_READONLY);
  EXPECT_EQ(reader.execAndGet("SELECT count(*) FROM results").getInt(),
            static_cast<int>(plan->results.size()));
}

TEST(ResultsFile, TablesSayWhatTheColumnsAre) {
  const OwnFolder folder;
  const auto plan = block_plan(700);
  {
    ResultsFile file(folder / "out.sqlite", *plan);
    ASSERT_TRUE(run_study(*plan, file, {}));
    file.put_summary(summarise(*plan, file));
  }
  SQLite::Database reader(folder / "out.sqlite", SQLite::OPEN_READONLY);
  EXPECT_EQ(reader.execAndGet("SELECT count(*) FROM draws").getInt(), 700);
  const double mean = reader.execAndGet("SELECT avg(\"in: bore\") FROM draws").getDouble();
  EXPECT_NEAR(mean, 86e-3, 4 * 0.01e-3 / std::sqrt(700.0));
  const std::string column =
      reader.execAndGet("SELECT \"column\" FROM results WHERE finding = 'bore.piston_clearance' LIMIT 1")
          .getString();
  const double by_sql = reader.execAndGet("SELECT avg(\"" + column + "\") FROM draws").getDouble();
  const double told =
      reader
          .execAndGet("SELECT mean FROM summary JOIN results USING (result) WHERE \"column\" = '" + column +
                      "'")
          .getDouble();
  EXPECT_NEAR(by_sql, told, 1e-12);
}

TEST(Summary, PartThatFailsIsCounted) {
  const auto plan = block_plan(900);
  ASSERT_NE(plan, nullptr);
  ResultsFile file("", *plan);
  ASSERT_TRUE(run_study(*plan, file, {}));
  const Summary summary = summarise(*plan, file);
  bool any = false;
  for (std::size_t i = 0; i < plan->results.size(); ++i) {
    const auto& limit = plan->results[i].limit;
    EXPECT_EQ(summary.results[i].fails.has_value(), limit.has_value());
    if (!limit || (!limit->min && !limit->max)) {
      continue;
    }
    const Eigen::MatrixXd column = file.columns(plan->numbers.size() + i, 1);
    const double low = limit->min.value_or(-INFINITY);
    const double high = limit->max.value_or(INFINITY);
    const auto inside = (column.array() >= low && column.array() <= high).count();
    EXPECT_DOUBLE_EQ(*summary.results[i].fails, static_cast<double>(900 - inside) / 900)
        << plan->results[i].name;
    any = true;
  }
  EXPECT_TRUE(any);
}

}  // namespace
}  // namespace fettle::study
