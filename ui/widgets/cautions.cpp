// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/cautions.h"

#include "ui/theme/theme.h"

#include <QCoreApplication>
#include <QDialog>
#include <QDialogButtonBox>
#include <QLabel>
#include <QVBoxLayout>

#include <array>
#include <utility>

namespace twinlamp::ui {

namespace {

class Words
{
    Q_DECLARE_TR_FUNCTIONS(Cautions)

public:
    static QString inOneLine()
    {
        return tr(
            "Flashing lamps can trigger seizures: press once a second at most, and warn people "
            "nearby. Diffuse the lamps and do not look into them; never use a laser. Take the "
            "propellers off. A transmitter needs its antenna and moving air. Keep to the radio "
            "rules of the place.");
    }

    static std::array<std::pair<QString, QString>, 5> all()
    {
        return {{
            {tr("Flashing light"),
                tr("Light that flashes three times a second or more can trigger seizures in people "
                   "with photosensitive epilepsy. Press once a second at most. Slow playback of a "
                   "strobed or flashing panel can flash as well: step through it instead. Playing "
                   "stops at the end of a clip and never starts over by itself.")},
            {tr("Bright lamps"),
                tr("Do not look into a bare high-power lamp, and never use a laser as the lamp. A "
                   "piece of paper in front of the lamp protects the eyes and keeps the camera "
                   "from "
                   "clipping.")},
            {tr("Craft and batteries"),
                tr("Take the propellers off before any bench work. Charge and use lithium-polymer "
                   "packs attended, on ground that cannot burn, and keep away from swollen, "
                   "dropped "
                   "or punctured ones. Unplug them afterwards.")},
            {tr("Transmitters"),
                tr("A video transmitter without its antenna or without moving air can be damaged "
                   "and "
                   "gets hot enough to burn. Keep your distance from an antenna at high power.")},
            {tr("Radio rules"),
                tr("Frequencies, channel widths and powers differ from place to place. Use only "
                   "what "
                   "is allowed where you are, or a shielded set-up.")},
        }};
    }

    static QString title() { return tr("Care on the bench"); }
};

} // namespace

QString cautionsShort() { return Words::inOneLine(); }

void showCautions(QWidget* parent)
{
    auto* dialog = new QDialog(parent);
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    dialog->setWindowTitle(Words::title());
    auto* column = new QVBoxLayout(dialog);
    column->setContentsMargins(24, 24, 24, 16);
    column->setSpacing(4);
    for (const auto& [heading, text] : Words::all()) {
        auto* head = new QLabel(heading);
        head->setFont(typeFont(TypeSize::Base, true));
        auto* body = new QLabel(text);
        body->setWordWrap(true);
        body->setMinimumWidth(460);
        column->addWidget(head);
        column->addWidget(body);
        column->addSpacing(8);
    }
    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Close);
    QObject::connect(buttons, &QDialogButtonBox::rejected, dialog, &QDialog::reject);
    column->addWidget(buttons);
    dialog->open();
}

} // namespace twinlamp::ui
