// The one include for everything.
#include "nockwise/nockwise.hpp"
#include "source_folder.hpp"

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

namespace nockwise {
namespace {

TEST(Headers, TheOneIncludeHasThemAll) {
  const std::filesystem::path folder = source_folder("include/nockwise");
  std::ifstream file(folder / "nockwise.hpp");
  const std::string text{std::istreambuf_iterator<char>(file), {}};
  int count = 0;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    const std::string name = entry.path().filename().string();
    if (name != "nockwise.hpp") {
      EXPECT_NE(text.find("#include \"nockwise/" + name + "\"\n"), std::string::npos) << name;
      ++count;
    }
  }
  EXPECT_GE(count, 20);
}

TEST(Headers, CautionsHaveNames) {
  EXPECT_EQ(name_of(CautionKind::light_arrow), "light_arrow");
  EXPECT_EQ(name_of(CautionKind::general), "general");
  EXPECT_EQ(name_of(general_cautions().front().kind), "general");
}

}  // namespace
}  // namespace nockwise
