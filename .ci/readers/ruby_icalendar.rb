# Reads one calendar file with Ruby's icalendar.
#
#     ruby ruby_icalendar.rb FILE.ics
require "icalendar"
require "json"
require "stringio" # which the library forgets

def instant(value)
  return value.strftime("%Y-%m-%d") if value.is_a?(Icalendar::Values::Date)

  value.to_time.utc.strftime("%Y-%m-%dT%H:%M:%SZ")
end

puts JSON.generate(reader: "ruby-icalendar", version: Icalendar::VERSION)
Icalendar::Calendar.parse(File.read(ARGV[0], encoding: "UTF-8")).each do |calendar|
  calendar.events.each do |event|
    alarms = event.alarms.map do |alarm|
      part = alarm.trigger
      seconds = part.weeks * 604_800 + part.days * 86_400 + part.hours * 3600 + part.minutes * 60 + part.seconds
      part.past ? -seconds : seconds
    end
    puts JSON.generate(uid: event.uid.to_s, start: instant(event.dtstart), end: instant(event.dtend), title: event.summary.to_s,
                       description: event.description.to_s, alarms_s: alarms, cancelled: event.status.to_s == "CANCELLED")
  end
end
