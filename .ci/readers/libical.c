/* Reads one calendar file with libical, which also checks it against the tables of
   RFC 5545 and RFC 5546. Exits 1 when the file is not valid to it.

     gcc -O1 -Wall -Werror -DVERSION="\"$(pkg-config --modversion libical)\"" -o libical libical.c $(pkg-config --cflags --libs libical)
     ./libical FILE.ics */
#include <libical/ical.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static void refuse(const char *why) {
    fprintf(stderr, "%s\n", why);
    exit(1);
}

static void text(const char *key, const char *value) {
    printf("\"%s\":\"", key);
    for (const unsigned char *c = (const unsigned char *)(value ? value : ""); *c; c++) {
        if (*c == '"' || *c == '\\') printf("\\%c", *c);
        else if (*c < 0x20) printf("\\u%04x", *c);
        else putchar(*c);
    }
    printf("\",");
}

static void instant(const char *key, icalcomponent *event, icalproperty_kind kind) {
    icalproperty *property = icalcomponent_get_first_property(event, kind);
    if (!property) refuse("an event lacks a start or an end");
    icaltimetype when = icalproperty_get_datetime_with_component(property, event);
    char form[32];
    if (icaltime_is_date(when)) {
        snprintf(form, sizeof form, "%04d-%02d-%02d", when.year, when.month, when.day);
    } else {
        if (!when.zone) refuse("floating time");
        time_t unix_time = icaltime_as_timet_with_zone(when, when.zone);
        struct tm utc;
        strftime(form, sizeof form, "%Y-%m-%dT%H:%M:%SZ", gmtime_r(&unix_time, &utc));
    }
    text(key, form);
}

int main(int count, char **arguments) {
    if (count != 2) refuse("usage: libical FILE.ics");
    FILE *file = fopen(arguments[1], "rb");
    if (!file) refuse("cannot open the file");
    fseek(file, 0, SEEK_END);
    long size = ftell(file);
    rewind(file);
    char *all = calloc(1, size + 1);
    if (!all || fread(all, 1, size, file) != (size_t)size) refuse("cannot read the file");

    icalcomponent *calendar = icalparser_parse_string(all);
    if (!calendar || icalcomponent_isa(calendar) != ICAL_VCALENDAR_COMPONENT) refuse("no calendar");
    icalrestriction_check(calendar); /* which adds its complaints to the calendar */
    if (icalcomponent_count_errors(calendar)) refuse(icalcomponent_as_ical_string(calendar));

    printf("{\"reader\":\"libical\",\"version\":\"%s\"}\n", VERSION);
    for (icalcomponent *event = icalcomponent_get_first_component(calendar, ICAL_VEVENT_COMPONENT); event;
         event = icalcomponent_get_next_component(calendar, ICAL_VEVENT_COMPONENT)) {
        putchar('{');
        text("uid", icalcomponent_get_uid(event));
        text("title", icalcomponent_get_summary(event));
        text("description", icalcomponent_get_description(event));
        instant("start", event, ICAL_DTSTART_PROPERTY);
        instant("end", event, ICAL_DTEND_PROPERTY);
        printf("\"cancelled\":%s,\"alarms_s\":[", icalcomponent_get_status(event) == ICAL_STATUS_CANCELLED ? "true" : "false");
        int alarms = 0;
        for (icalcomponent *alarm = icalcomponent_get_first_component(event, ICAL_VALARM_COMPONENT); alarm;
             alarm = icalcomponent_get_next_component(event, ICAL_VALARM_COMPONENT)) {
            icalproperty *trigger = icalcomponent_get_first_property(alarm, ICAL_TRIGGER_PROPERTY);
            if (!trigger) refuse("an alarm without a trigger");
            printf("%s%d", alarms++ ? "," : "", icaldurationtype_as_int(icalproperty_get_trigger(trigger).duration));
        }
        printf("]}\n");
    }
    return 0;
}
