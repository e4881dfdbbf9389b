/* Reads a feed with libical, checks it against the library's own table of RFC 5545 and 5546, and prints each entry:
   whether its days are dates, start, end, number of alarms, seconds from start to the first alarm, headline. */
#include <libical/ical.h>
#include <stdio.h>
#include <stdlib.h>

static char *read_line(char *buffer, size_t size, void *file) { return fgets(buffer, (int)size, file); }

int main(int count, char **arguments)
{
    FILE *file = count > 1 ? fopen(arguments[1], "rb") : NULL;
    if (!file)
        return 2;
    icalparser *parser = icalparser_new();
    icalparser_set_gen_data(parser, file);
    icalcomponent *calendar = icalparser_parse(parser, read_line);
    if (!calendar)
        return 3;
    icalrestriction_check(calendar);
    printf("errors %d\n", icalcomponent_count_errors(calendar));
    for (icalcomponent *event = icalcomponent_get_first_component(calendar, ICAL_VEVENT_COMPONENT); event;
         event = icalcomponent_get_next_component(calendar, ICAL_VEVENT_COMPONENT)) {
        struct icaltimetype start = icalcomponent_get_dtstart(event), end = icalcomponent_get_dtend(event);
        icalcomponent *alarm = icalcomponent_get_first_component(event, ICAL_VALARM_COMPONENT);
        icalproperty *trigger = alarm ? icalcomponent_get_first_property(alarm, ICAL_TRIGGER_PROPERTY) : NULL;
        long rings = trigger ? icaldurationtype_as_int(icalproperty_get_trigger(trigger).duration) : 0;
        printf("%d %d %d-%02d-%02d %d-%02d-%02d %d %ld %s\n", start.is_date, end.is_date, start.year, start.month,
               start.day, end.year, end.month, end.day,
               icalcomponent_count_components(event, ICAL_VALARM_COMPONENT), rings, icalcomponent_get_summary(event));
    }
    icalcomponent_free(calendar);
    icalparser_free(parser);
    fclose(file);
    return 0;
}
