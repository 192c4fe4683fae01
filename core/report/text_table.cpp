// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/text_table.h"

#include "core/base/contracts.h"

#include <algorithm>
#include <utility>

namespace twinlamp::report {

namespace {

/// Signs, not bytes: continuation bytes of UTF-8 take no room.
std::size_t widthOf(const std::string& text)
{
    return static_cast<std::size_t>(std::ranges::count_if(
        text, [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
}

void append(std::string& line, const std::string& cell, Align align, std::size_t width)
{
    const std::string blanks(width - widthOf(cell), ' ');
    line += align == Align::Right ? blanks + cell : cell + blanks;
}

} // namespace

TextTable::TextTable(std::vector<Column> columns)
    : m_columns(std::move(columns))
{
}

void TextTable::addRow(std::vector<std::string> cells)
{
    TL_EXPECTS(cells.size() == m_columns.size());
    m_rows.push_back(std::move(cells));
}

std::string TextTable::text() const
{
    std::vector<std::size_t> widths(m_columns.size(), 0);
    for (const std::vector<std::string>& row : m_rows) {
        for (std::size_t i = 0; i < row.size(); ++i) {
            widths[i] = std::max(widths[i], widthOf(row[i]));
        }
    }
    std::vector<std::string> headings;
    for (std::size_t i = 0; i < m_columns.size(); ++i) {
        headings.push_back(m_columns[i].heading);
        if (widths[i] > 0) {
            widths[i] = std::max(widths[i], widthOf(m_columns[i].heading));
        }
    }
    const auto lineOf = [&](const std::vector<std::string>& cells) {
        std::string line;
        for (std::size_t i = 0; i < cells.size(); ++i) {
            if (widths[i] > 0) {
                line += line.empty() ? "" : "  ";
                append(line, cells[i], m_columns[i].align, widths[i]);
            }
        }
        line.erase(line.find_last_not_of(' ') + 1);
        return line + "\n";
    };
    std::string text = lineOf(headings);
    for (const std::vector<std::string>& row : m_rows) {
        text += lineOf(row);
    }
    return text;
}

} // namespace twinlamp::report
