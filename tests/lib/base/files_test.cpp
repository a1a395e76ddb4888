#include "nockwise/files.hpp"

#include "nockwise/error.hpp"

#include <gtest/gtest.h>
#include <sys/stat.h>

#include <fstream>
#include <string>

namespace nockwise {
namespace {

std::string refusal(const std::filesystem::path& file) {
  try {
    (void)read_text_file(file);
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}

std::string obstacle(const std::filesystem::path& file) {
  try {
    check_writable(file);
  } catch (const Error& error) {
    return error.what();
  }
  return "";
}

class Files : public ::testing::Test {
 protected:
  void SetUp() override {
    std::filesystem::remove_all(folder_);
    std::filesystem::create_directories(folder_);
  }
  void TearDown() override { std::filesystem::remove_all(folder_); }

  // Tests run side by side.
  const std::filesystem::path folder_ =
      std::filesystem::path(::testing::TempDir()) /
      ("nockwise_files_test_" + std::string(::testing::UnitTest::GetInstance()->current_test_info()->name()));
};

TEST_F(Files, OnlyRegularFilesAreRead) {
  const std::filesystem::path file = folder_ / "a";
  write_text_file(file, "text\n");
  EXPECT_EQ(read_text_file(file), "text\n");
  const std::filesystem::path pipe = folder_ / "pipe";
  ASSERT_EQ(mkfifo(pipe.c_str(), 0600), 0);
  EXPECT_NE(refusal(pipe).find("pipe\": must be a file that can be read: this is a pipe or a device"),
            std::string::npos);
  EXPECT_NE(refusal("/dev/zero").find("this is a pipe or a device"), std::string::npos);
  EXPECT_NE(refusal(folder_).find("this is a folder"), std::string::npos);
  EXPECT_NE(refusal(folder_ / "none").find("there is none of this name"), std::string::npos);
  EXPECT_EQ(refusal(""), "file: must be a file that can be read: its name is empty");
}

TEST_F(Files, AreNoLargerThanTheLimit) {
  const std::filesystem::path file = folder_ / "large";
  write_text_file(file, "");
  std::filesystem::resize_file(file, largest_file);
  EXPECT_EQ(read_text_file(file).size(), largest_file);
  std::filesystem::resize_file(file, largest_file + 1);
  EXPECT_NE(refusal(file).find("it is larger than 16 MB"), std::string::npos);
}

TEST_F(Files, WhatCannotBeWrittenIsToldBefore) {
  const std::filesystem::path file = folder_ / "report.md";
  EXPECT_EQ(obstacle(file), "");
  EXPECT_FALSE(std::filesystem::exists(file)) << "looking leaves nothing behind";
  write_text_file(file, "kept");
  EXPECT_EQ(obstacle(file), "");
  EXPECT_EQ(read_text_file(file), "kept");
  EXPECT_NE(obstacle(folder_).find("this is a folder"), std::string::npos);
  EXPECT_NE(obstacle(folder_ / "no" / "where.md").find("there is no folder"), std::string::npos);
  EXPECT_EQ(obstacle(""), "cannot write a file without a name");
  EXPECT_EQ(obstacle("/dev/null"), "");
}

}  // namespace
}  // namespace nockwise
