// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/models/setting_figures.h"

#include "ui/widgets/figures.h"

#include <QCoreApplication>
#include <QStringList>

#include <algorithm>

namespace twinlamp::ui {

namespace {

class Words
{
    Q_DECLARE_TR_FUNCTIONS(SettingFigures)

public:
    static QString conditions(const session::Conditions& c)
    {
        QStringList words;
        if (c.widthPx && c.heightPx) {
            words << tr("%1 x %2").arg(*c.widthPx).arg(*c.heightPx);
        }
        if (c.linkFrameRate) {
            words << tr("%1 frames/s").arg(rateText(c.linkFrameRate->hz()));
        }
        const auto add = [&](const std::optional<double>& value, const QString& form) {
            if (value) {
                words << form.arg(rateText(*value));
            }
        };
        add(c.bitRateMbit, tr("%1 Mbit/s"));
        add(c.channelWidthMhz, tr("%1 MHz wide"));
        add(c.outputPowerMw, tr("%1 mW"));
        add(c.distanceM, tr("%1 m"));
        add(c.attenuationDb, tr("%1 dB attenuation"));
        for (const std::string& text : {c.interference, c.linkCamera, c.goggle}) {
            if (!text.empty()) {
                words << QString::fromStdString(text);
            }
        }
        return words.join(QStringLiteral(", "));
    }

    static QString answer(const session::LinkSetting& setting, const SettingFigures& figures)
    {
        const stats::Summary& s = figures.summary;
        const QString name = QString::fromStdString(setting.name);
        if (figures.clipsDoubtful > 0) {
            SettingFigures sure = figures;
            sure.clipsDoubtful = 0;
            return countText(figures.clipsDoubtful,
                       tr("Regions doubtful in %1 clip: check them first. "),
                       tr("Regions doubtful in %1 clips: check them first. "))
                + answer(setting, sure);
        }
        if (!s.medianMs && s.noResponse > 0) {
            QString sentence = tr("%1: no median, because %2 of %3 presses got no answer")
                                   .arg(name)
                                   .arg(s.noResponse)
                                   .arg(s.n + s.noResponse);
            if (s.setAside > 0) {
                sentence += tr("; %1 set aside").arg(s.setAside);
            }
            return sentence + QLatin1Char('.');
        }
        if (s.n == 0) {
            return figures.clipsMeasured > 0 ? tr("%1: no press with a latency yet.").arg(name)
                                             : tr("%1: not measured yet.").arg(name);
        }
        QString sentence = tr("%1: first light after %2").arg(name, medianText(s));
        if (const QString interval = medianIntervalText(s); !interval.isEmpty()) {
            sentence += tr(" (median; 95 % interval %1)").arg(interval);
        }
        sentence += countText(s.n, tr(", %1 press"), tr(", %1 presses"));
        sentence += countText(s.runs, tr(" in %1 run"), tr(" in %1 runs"));
        if (s.noResponse > 0) {
            sentence += tr("; %1 got no answer").arg(s.noResponse);
        }
        if (s.setAside > 0) {
            sentence += tr("; %1 set aside").arg(s.setAside);
        }
        return sentence + QLatin1Char('.');
    }

    static QString count(const SettingFigures& figures)
    {
        const stats::Summary& s = figures.summary;
        if (figures.clipsMeasured == 0) {
            return figures.clips == 0 ? tr("no clip yet") : tr("not measured yet");
        }
        if (s.n + s.noResponse == 0) {
            return tr("no press that counts");
        }
        if (figures.clipsDoubtful > 0) {
            return tr("regions doubtful, check them");
        }
        QString note = countText(s.n + s.noResponse, tr("%1 press"), tr("%1 presses"));
        if (s.noResponse > 0) {
            note += tr(", %1 lost").arg(s.noResponse);
        }
        const QString between = medianIntervalText(s);
        return between.isEmpty() ? note : note + tr(", 95 %: %1").arg(between);
    }

    static QString interval(const stats::Summary& s, int decimals)
    {
        return tr("%1 to %2")
            .arg(numberText(*s.medianLowMs, decimals), msText(*s.medianHighMs, decimals));
    }
};

std::optional<double> medianHalfWidth(const stats::Summary& summary)
{
    if (!summary.medianLowMs || !summary.medianHighMs) {
        return std::nullopt;
    }
    return (*summary.medianHighMs - *summary.medianLowMs) / 2.0;
}

int medianDecimals(const stats::Summary& summary)
{
    return decimalsFor(medianHalfWidth(summary), 1);
}

} // namespace

std::vector<SettingFigures> settingFigures(const session::Session& session)
{
    // Panels ask one after another for the same state, and states differ in little.
    thread_local report::SettingFiguresCache cache;
    return cache.update(session);
}

QString conditionsText(const session::Conditions& conditions)
{
    return Words::conditions(conditions);
}

QString answerSentence(const session::LinkSetting& setting, const SettingFigures& figures)
{
    return Words::answer(setting, figures);
}

QString countNote(const SettingFigures& figures) { return Words::count(figures); }

QString medianText(const stats::Summary& summary)
{
    return summary.medianMs ? msText(*summary.medianMs, medianDecimals(summary)) : QString();
}

QString medianIntervalText(const stats::Summary& summary)
{
    return medianHalfWidth(summary) ? Words::interval(summary, medianDecimals(summary)) : QString();
}

} // namespace twinlamp::ui
