<?php
// Reads one calendar file with the PHP library sabre/vobject, which also validates
// it. Exits 1 when the file is not valid to it.
//
//   php sabre.php FILE.ics
require '/usr/share/php/Sabre/VObject/includes.php';

set_error_handler(function ($level, $text) { throw new ErrorException($text); }, E_ALL & ~E_DEPRECATED);

function instant($property) {
    switch ($property->getDateType()) {
        case $property::DATE:
            return $property->getDateTime()->format('Y-m-d');
        case $property::LOCAL:
            throw new Exception("floating time $property");
    }
    return (clone $property->getDateTime())->setTimezone(new DateTimeZone('UTC'))->format('Y-m-d\TH:i:s\Z');
}

// This version leaves commas and semicolons escaped for its callers to decode.
function text($property) {
    return strtr((string) $property, ['\,' => ',', '\;' => ';']);
}

$calendar = Sabre\VObject\Reader::read(file_get_contents($argv[1]));
foreach ($calendar->validate() as $problem) {
    fwrite(STDERR, $problem['message'] . "\n");
    exit(1);
}
echo json_encode(['reader' => 'sabre/vobject', 'version' => Sabre\VObject\Version::VERSION]), "\n";
foreach ($calendar->VEVENT ?? [] as $event) {
    $alarms = [];
    foreach ($event->VALARM ?? [] as $alarm) {
        $alarms[] = $alarm->getEffectiveTriggerTime()->getTimestamp() - $event->DTSTART->getDateTime()->getTimestamp();
    }
    echo json_encode([
        'uid' => (string) $event->UID,
        'start' => instant($event->DTSTART),
        'end' => instant($event->DTEND),
        'title' => text($event->SUMMARY),
        'description' => text($event->DESCRIPTION),
        'alarms_s' => $alarms,
        'cancelled' => (string) $event->STATUS === 'CANCELLED',
    ], JSON_THROW_ON_ERROR), "\n";
}
