#include "nockwise/text.hpp"

#include <gtest/gtest.h>

#include <string>

namespace nockwise {
namespace {

TEST(Text, OrdinaryNamesStayAsTheyAre) {
  for (const std::string& name : {std::string("Larkspur 33 (left), spring 2026"), std::string("Fichtenmühle α 28½ in"),
                                  std::string("stop_gap 0.17 in ± 0.02 in")}) {
    EXPECT_EQ(terminal_text(name), name);
    EXPECT_EQ(markdown_text(name), name);
    EXPECT_EQ(html_text(name), name);
  }
}

TEST(Text, ATerminalIsNotMoved) {
  EXPECT_EQ(terminal_text("a\x1b[2Jb"), "a\\x1b[2Jb");
  EXPECT_EQ(terminal_text("\x07\x7f"), "\\x07\\x7f");
  EXPECT_EQ(terminal_text("\u009b31m"), "\\x9b31m");  // the one-character form of escape and bracket
  EXPECT_EQ(terminal_text("one\ntwo\tthree\r"), "one two three ");
  EXPECT_EQ(terminal_text("\u202egnorw\u2066"), "\\u202egnorw\\u2066");
  EXPECT_EQ(terminal_text("a\u200bb\ufeff"), "a\\u200bb\\ufeff");
  EXPECT_EQ(terminal_text("\xff\xc0\x80\xed\xa0\x80"), "\\xff\\xc0\\x80\\xed\\xa0\\x80");  // no UTF-8
  EXPECT_EQ(terminal_text("\xe2\x82"), "\\xe2\\x82");                                      // broken off
  EXPECT_EQ(terminal_text(std::string(1, '\0')), "\\x00");
}

TEST(Text, MarkdownHasNoMarksOfTheFile) {
  EXPECT_EQ(markdown_text("x\n\n# Heading"), "x  \\# Heading");
  EXPECT_EQ(markdown_text("# Heading"), "\\# Heading");
  EXPECT_EQ(markdown_text("- item"), "\\- item");
  EXPECT_EQ(markdown_text("    code"), "code");
  EXPECT_EQ(markdown_text("1. first"), "1\\. first");
  EXPECT_EQ(markdown_text("1.5 in"), "1.5 in");
  EXPECT_EQ(markdown_text("---"), "\\---");
  EXPECT_EQ(markdown_text("a | b"), "a \\| b");
  EXPECT_EQ(markdown_text("[x](http://y)"), "\\[x\\](http://y)");
  EXPECT_EQ(markdown_text("<script>&amp;"), "&lt;script&gt;&amp;amp;");
  EXPECT_EQ(markdown_text("*a* _b_ `c` ~~d~~ $e$"), "\\*a\\* \\_b\\_ \\`c\\` \\~\\~d\\~\\~ \\$e\\$");
  EXPECT_EQ(markdown_text("a\\"), "a\\\\");
}

TEST(Text, HtmlHasNoTagsOfTheFile) {
  EXPECT_EQ(html_text("<img src=x onerror='a(\"b\")'>&"), "&lt;img src=x onerror=&#39;a(&quot;b&quot;)&#39;&gt;&amp;");
  EXPECT_EQ(html_text("a\x1b\n"), "a\\x1b ");
}

}  // namespace
}  // namespace nockwise
