// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/moments.h"
#include "core/stats/quantile.h"
#include "ui/models/link_answer.h"
#include "ui/widgets/figures.h"

#include <QCoreApplication>

namespace twinlamp::ui {

namespace {

QString tr(const char* text) { return QCoreApplication::translate("Reckon", text); }

constexpr double percent = 100.0;

template<typename TextOf>
void add(std::vector<FigureRow>& rows, const LinkAnswer& answer, const QString& name,
    const QString& toolTip, TextOf textOf)
{
    FigureRow row {{name}, toolTip};
    for (const LinkReckoning& link : answer.links) {
        row.cells << (link.figures ? textOf(link) : QString(enDash));
    }
    rows.push_back(std::move(row));
}

/// "23.1 | 23.2": closed form, then simulated.
QString both(const std::optional<double>& closed, const std::optional<double>& simulated)
{
    constexpr int decimals = 1;
    const auto text = [](const std::optional<double>& value) {
        return value ? numberText(*value, decimals) : QString(enDash);
    };
    return text(closed) % QStringLiteral(" | ") % text(simulated);
}

QString quantile(const LinkReckoning& link, double share)
{
    return both(link.closed ? std::optional(link.closed->quantileMs(share)) : std::nullopt,
        stats::quantileType7(link.simulated.latenciesMs, share));
}

void addSending(std::vector<FigureRow>& rows, const LinkAnswer& answer)
{
    add(rows, answer, tr("Bits of a frame"), tr("Bit rate over frame rate, in kbit"),
        [](const LinkReckoning& link) -> QString {
            return numberText(link.figures->bitsPerFrame / 1e3, 0) + thinSpace + u"kbit";
        });
    add(rows, answer, tr("Bits of a pixel"), tr("What the encoder may spend on each pixel"),
        [](const LinkReckoning& link) -> QString {
            return link.figures->bitsPerPixel ? numberText(*link.figures->bitsPerPixel, 3)
                                              : QString(enDash);
        });
    add(rows, answer, tr("Packets of a frame"), tr("Each is lost and repeated on its own"),
        [](const LinkReckoning& link) -> QString {
            return QString::number(link.figures->packets);
        });
    add(rows, answer, tr("Packets lost at each try"),
        tr("As given, or from output power, distance and the loss curve"),
        [](const LinkReckoning& link) -> QString {
            return numberText(percent * link.loss, 2) + thinSpace + u'%';
        });
    add(rows, answer, tr("Time to send"), tr("Every packet of a frame once, ms"),
        [](const LinkReckoning& link) -> QString { return msText(link.figures->sendMs, 1); });
    add(rows, answer, tr("Slack in the frame interval"),
        tr("What sending leaves of the frame interval, ms; below 0 the link falls behind"),
        [](const LinkReckoning& link) -> QString {
            return tr("%1 of %2")
                .arg(
                    numberText(link.figures->slackMs, 1), msText(link.figures->frameIntervalMs, 1));
        });
    add(rows, answer, tr("Repeats that fit"), tr("Round trips in the allowance"),
        [](const LinkReckoning& link) -> QString {
            return QString::number(link.figures->repeatsInAllowance);
        });
    add(rows, answer, tr("On the air"),
        tr("Share of the frame interval, repeats included; over 100 % the link cannot keep up"),
        [](const LinkReckoning& link) -> QString {
            return numberText(percent * link.figures->airShare, 0) + thinSpace + u'%';
        });
}

} // namespace

FigureLines linkTable(const LinkAnswer& answer)
{
    FigureLines lines {{tr("What it leaves room for"), tr("link 1"), tr("link 2")}, {}};
    addSending(lines.rows, answer);
    lines.rows.push_back({{tr("Closed form | simulated")},
        tr("Both are worked out: they agree where losses are independent. The simulation is "
           "seeded, 20000 presses, and alone heeds longer bursts."),
        true});
    add(lines.rows, answer, tr("Late frames, %"),
        tr("Frames of which a packet is missing when the allowance is over"),
        [](const LinkReckoning& link) -> QString {
            constexpr int decimals = 2;
            return numberText(percent * link.figures->lateShare, decimals) % QStringLiteral(" | ")
                % numberText(percent * link.simulated.lateShare, decimals);
        });
    add(lines.rows, answer, tr("Latency: median, ms"), tr("Half of the presses are faster"),
        [](const LinkReckoning& link) -> QString { return quantile(link, 0.5); });
    add(lines.rows, answer, tr("Latency: p95, ms"), tr("One press in twenty is slower"),
        [](const LinkReckoning& link) -> QString { return quantile(link, 0.95); });
    add(lines.rows, answer, tr("Latency: p99, ms"), tr("One press in a hundred is slower"),
        [](const LinkReckoning& link) -> QString { return quantile(link, 0.99); });
    add(lines.rows, answer, tr("Latency: SD, ms"),
        tr("Standard deviation, most of it the wait for the next frame"),
        [](const LinkReckoning& link) -> QString {
            return both(link.closed ? std::optional(link.closed->sdMs()) : std::nullopt,
                stats::standardDeviation(link.simulated.latenciesMs));
        });
    return lines;
}

QStringList linkWords(const LinkAnswer& answer)
{
    QStringList words;
    for (std::size_t i = 0; i < answer.links.size(); ++i) {
        const LinkReckoning& link = answer.links.at(i);
        if (!link.error.isEmpty()) {
            words << tr("Link %1: %2").arg(i + 1).arg(link.error);
        }
    }
    QStringList general;
    for (const LinkReckoning& link : answer.links) {
        for (const Sentence& sentence :
            link.figures ? link.figures->assumptions : std::vector<Sentence> {}) {
            const QString text = sentenceText(sentence);
            // What it is at all stands above the figures.
            if (sentence.id != "link-general" && !general.contains(text)) {
                general << text;
            }
        }
    }
    return words + general;
}

} // namespace twinlamp::ui
