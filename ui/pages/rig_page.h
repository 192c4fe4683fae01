// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/measure/rig_checks.h"
#include "ui/edits/session_document.h"
#include "ui/jobs/job_runner.h"

#include <QWidget>

#include <filesystem>
#include <functional>
#include <optional>
#include <vector>

class QFormLayout;
class QLabel;
class QLineEdit;
class QListWidget;
class QProgressBar;
class QPushButton;
class QVBoxLayout;

namespace twinlamp::ui {

class AskStack;

/// The page of the camera and its lamps: the session's rigs, what is typed for each, its zero and
/// time-base checks, and new checks from clips.
class RigPage : public QWidget
{
    Q_OBJECT

public:
    RigPage(SessionDocument& document, QThreadPool& pool, QWidget* parent = nullptr);
    ~RigPage() override;

    /// Rig in hand; 0 where there is none.
    [[nodiscard]] session::RigId rig() const { return m_rig; }

    void pickRig(session::RigId rig);

    [[nodiscard]] AskStack& asks() { return *m_asks; }

    [[nodiscard]] bool isChecking() const { return m_runner.isRunning(); }

    /// A clip dropped on the page: asks which check it holds.
    void takeFile(const QString& file);
    /// Makes a check of a clip; shows what it says and offers to file it.
    void check(CheckKind kind, const std::filesystem::path& clip);
    void stop();

Q_SIGNALS:
    /// The user wants to choose the clip of a check.
    void clipAsked(twinlamp::CheckKind kind);
    void checked(bool found); ///< a check came to its end

private:
    struct Field
    {
        QLineEdit* edit = nullptr;
        std::function<QString(const session::Rig&)> show;
        std::function<bool(const QString&, session::Rig&)> take; ///< false: not understood
        QString expected = {}; ///< said where it is not understood; empty: a number
        QString toolTip = {};
    };

    void build();
    QWidget* buildList();
    QWidget* buildDetails();
    QWidget* buildFields();
    QWidget* buildNewCheck();
    QWidget* buildClips();
    void addField(QFormLayout* form, const QString& label, const QString& hint, Field field);
    [[nodiscard]] static Field shortestHoldField();

    void onSessionChanged();
    void showRigs();
    void showRig();
    void showChecks();
    void showClips();
    void showSentence();
    void showWork(std::optional<ScaledProgress> progress);
    void enableAll();

    void addRig();
    void removeRig();
    void rename(const QString& name);
    void changeRig(const session::Rig& after);
    void assign(bool all);
    void onChecked(CheckKind kind, session::RigId rig, JobResult<measure::CheckedClip>&& outcome);
    void offer(session::RigId rig, const CheckResult& result);
    void file(session::RigId rig, const CheckResult& result);
    [[nodiscard]] std::optional<measure::LampPeriod> period();
    [[nodiscard]] const session::Rig* inHand() const;
    [[nodiscard]] bool isWritable() const;

    SessionDocument& m_document;
    JobRunner m_runner;
    session::RigId m_rig;
    AskStack* m_asks = nullptr;
    QLabel* m_sentence = nullptr;
    QListWidget* m_list = nullptr;
    QPushButton* m_add = nullptr;
    QPushButton* m_remove = nullptr;
    QWidget* m_details = nullptr;
    QLabel* m_nothing = nullptr;
    std::vector<Field> m_fields;
    QVBoxLayout* m_checks = nullptr;
    QLabel* m_noChecks = nullptr;
    QLabel* m_clips = nullptr;
    QPushButton* m_assignAll = nullptr;
    QPushButton* m_assignNone = nullptr;
    QLineEdit* m_period = nullptr;
    QLineEdit* m_periodWidth = nullptr;
    QPushButton* m_zero = nullptr;
    QPushButton* m_timeBase = nullptr;
    QWidget* m_work = nullptr;
    QLabel* m_stage = nullptr;
    QProgressBar* m_progress = nullptr;
    bool m_showing = false; ///< the page fills its own fields
};

} // namespace twinlamp::ui
