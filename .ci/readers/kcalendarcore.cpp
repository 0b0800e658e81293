// Reads one calendar file with KCalendarCore, what KOrganizer is made of, or saves it as
// that does, with an event of somebody's own in it.
//
//     g++ -O1 -fPIC -o kcalendarcore kcalendarcore.cpp -I/usr/include/KF5/KCalendarCore -I/usr/include/KF5 \
//       $(pkg-config --cflags --libs Qt5Gui) -lKF5CalendarCore
//     kcalendarcore FILE.ics
//     kcalendarcore FILE.ics SAVED.ics
#include <KCalendarCore/ICalFormat>
#include <KCalendarCore/MemoryCalendar>
#include <QCoreApplication>
#include <QFile>
#include <QJsonArray>
#include <QJsonDocument>
#include <QJsonObject>
#include <cstdio>

using namespace KCalendarCore;

static void say(const QJsonObject &object) { printf("%s\n", QJsonDocument(object).toJson(QJsonDocument::Compact).constData()); }

static QString instant(const QDateTime &at, bool day) {
    return day ? at.date().toString(Qt::ISODate) : at.toUTC().toString(Qt::ISODate);
}

int main(int argc, char **argv) {
    QCoreApplication application(argc, argv);
    MemoryCalendar::Ptr calendar(new MemoryCalendar(QTimeZone::utc()));
    ICalFormat format;
    if (argc < 2 || !format.load(calendar, QString::fromLocal8Bit(argv[1]))) {
        fprintf(stderr, "cannot be read\n");
        return 1;
    }
    if (argc > 2) {
        Event::Ptr own(new Event());
        own->setUid(QStringLiteral("own-event"));
        own->setSummary(QStringLiteral("Dentist, by KCalendarCore"));
        own->setDtStart(QDateTime(QDate(2026, 11, 30), QTime(15, 0), QTimeZone("America/Denver")));
        own->setDtEnd(own->dtStart().addSecs(3600));
        calendar->addEvent(own);
        return format.save(calendar, QString::fromLocal8Bit(argv[2])) ? 0 : 1;
    }
    say({{"reader", "kcalendarcore"}, {"version", "5"}});
    for (const Event::Ptr &event : calendar->rawEvents()) {
        QJsonArray alarms;
        for (const Alarm::Ptr &alarm : event->alarms()) alarms.append(alarm->startOffset().asSeconds());
        const bool day = event->allDay();
        say({{"uid", event->uid()}, {"start", instant(event->dtStart(), day)},
             {"end", instant(day ? event->dtEnd().addDays(1) : event->dtEnd(), day)}, {"title", event->summary()},
             {"description", event->description()}, {"alarms_s", alarms},
             {"cancelled", event->status() == Incidence::StatusCanceled}});
    }
    return 0;
}
