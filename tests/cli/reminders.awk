# A calendar, one line a reminder: first day, end, sequence, stamp, status, alarms, summary.
# Sort the lines; the UIDs, which order the file, say nothing to a reader.
{ sub(/\r$/, "") }
/^BEGIN:V(EVENT|TODO)/ { first = "-"; alarms = "" }
/^DTSTART/ { sub(/.*:/, ""); first = $0 }
/^DTEND|^DUE/ { sub(/.*:/, ""); end = $0 }
/^SEQUENCE/ { sub(/.*:/, ""); sequence = $0 }
/^DTSTAMP/ { sub(/.*:/, ""); stamp = $0 }
/^STATUS/ { sub(/.*:/, ""); status = $0 }
/^SUMMARY/ { sub(/^SUMMARY:/, ""); summary = $0 }
/^TRIGGER/ { sub(/^TRIGGER[:;]/, ""); alarms = alarms " " $0 }
/^END:V(EVENT|TODO)/ { print first, end, "#" sequence, stamp, status alarms ":", summary }
