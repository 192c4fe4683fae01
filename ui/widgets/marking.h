// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

class QWidget;
class QLabel;
class QLineEdit;
class QString;

namespace twinlamp::ui {

/// Marks a field whose content cannot be understood (the theme outlines it), or clears the mark.
void markWrong(QWidget* field, bool wrong);
/// Marks a field and says below it what it takes; the words go with the next key press.
void markWrong(QLineEdit* field, const QString& expected);

/// The button that does what the page is for.
void makePrimary(QWidget* button);

/// A label in the second voice: smaller and quiet.
[[nodiscard]] QLabel* quietLabel(const QString& text);
/// A word between two fields of a line, as high as they are.
[[nodiscard]] QLabel* wordLabel(const QString& text);
/// The heading of a group.
[[nodiscard]] QLabel* headingLabel(const QString& text);

} // namespace twinlamp::ui
