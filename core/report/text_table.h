// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace twinlamp::report {

enum class Align : std::uint8_t
{
    Left,
    Right
};

/// Rows of text in columns as wide as their widest cell, two spaces apart, no blanks at line ends.
class TextTable
{
public:
    struct Column
    {
        std::string heading;
        Align align = Align::Right;
    };

    explicit TextTable(std::vector<Column> columns);
    /// @pre one cell for each column
    void addRow(std::vector<std::string> cells);
    /// Heading line, then the rows; columns whose cells are all empty are left out.
    [[nodiscard]] std::string text() const;

private:
    std::vector<Column> m_columns;
    std::vector<std::vector<std::string>> m_rows;
};

} // namespace twinlamp::report
