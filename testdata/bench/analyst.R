# The work of a load and of monthly measures, as an analyst's script does it with data.table: read the exports, bring pressures to
# cm[H2O], link device rows to transports by device and time, and print measures by month as month,measure,value.
# Rscript analyst.R FOLDER...
suppressPackageStartupMessages(library(data.table))
folders <- commandArgs(TRUE)
mbar <- 100 / 98.0665 # cm[H2O]
quantities <- c("Ppeak", "PEEP", "Pmean", "Ftot", "Vte", "MVe", "Leak", "O2", "SpO2", "Pulse")
all_of <- function(pattern, ...) {
  files <- sort(unlist(lapply(folders, function(f) Sys.glob(file.path(f, pattern)))))
  rbindlist(lapply(files, fread, ...))
}
trips <- all_of("transports-*.csv", tz = "UTC")
trend <- all_of("trend *.csv", colClasses = list(character = c("Unit", "Date", "Time")))
alarms <- all_of("alarms-*.csv", tz = "UTC", colClasses = list(POSIXct = c("started_at", "ended_at"), character = "device_id"))

# Dates and times repeat: each distinct one is read once.
days <- trend[, .(Date = unique(Date))][, day := as.numeric(as.POSIXct(Date, format = "%m/%d/%Y", tz = "UTC"))]
clocks <- trend[, .(Time = unique(Time))][, second := as.numeric(as.ITime(Time))]
trend[days, on = "Date", day := i.day][clocks, on = "Time", at := day + i.second]
trend[, c("Date", "Time", "day") := NULL]
trend[, (c("Ppeak", "PEEP", "Pmean")) := lapply(.SD, function(v) round(v * mbar, 9)), .SDcols = c("Ppeak", "PEEP", "Pmean")]
setnames(trend, "Unit", "device")
setnames(alarms, "device_id", "device")
alarms[, `:=`(at = as.numeric(started_at), until = as.numeric(ended_at))]

windows <- trips[, .(device = ventilator_id, transport_id, from = as.numeric(accepted_at) - 1800, to = as.numeric(available_at) + 1800)]
setkey(windows, device, from)
link <- function(rows) {
  found <- windows[rows, on = .(device, from = at), roll = TRUE, .(transport_id, to = x.to)]
  rows[, `:=`(transport_id = found$transport_id, to = found$to)]
  rows[!(at <= to) | is.na(to), transport_id := NA_character_]
}
link(trend)
link(alarms)
trend[, held := Reduce(`+`, lapply(.SD, function(v) !is.na(v))), .SDcols = quantities]
trend <- trend[held > 0]

months <- function(seconds) { # of the distinct days
  day <- seconds %/% 86400
  each <- unique(day)
  format(as.Date(each, origin = "1970-01-01"), "%Y-%m")[match(day, each)]
}
trips[, month := months(as.numeric(accepted_at))]
done <- trips[disposition == "completed"]
show <- function(measure, answer) cat(sprintf("%s,%s,%.17g\n", answer[[1]], measure, answer[[2]]), sep = "")
minutes <- function(of, start, end) {
  of[, .(month, m = (as.numeric(get(end)) - as.numeric(get(start))) / 60)][m >= 0, .(median(m)), keyby = month]
}
show("trip_time", minutes(done, "accepted_at", "available_at"))
show("stabilization_time", minutes(done, "arrived_referring_at", "departed_referring_at"))
show("mobilization_time", minutes(done[urgency != "planned"], "accepted_at", "departed_base_at"))

own <- alarms[!is.na(transport_id)]
own[, last := fifelse(until > at & until <= to, until, at)]
seen <- rbind(trend[!is.na(transport_id), .(first = min(at), last = max(at)), by = .(transport_id, device)],
              own[, .(first = min(at), last = max(last)), by = .(transport_id, device)])
hours <- seen[, .(h = (max(last) - min(first)) / 3600), by = .(transport_id, device)][, .(h = sum(h)), by = transport_id]
hours[own[, .N, by = transport_id], on = "transport_id", onsets := N]
hours[is.na(onsets), onsets := 0L]
hours <- hours[h > 0][done, on = "transport_id", month := i.month][!is.na(month)]
show("alarms_per_hour", hours[, .(sum(onsets) / sum(h)), keyby = month])

counts <- rbind(trend[, .(month = months(at), n = held, linked = held * !is.na(transport_id))],
                alarms[, .(month = months(at), n = 1L, linked = as.integer(!is.na(transport_id)))])
show("record_linked", counts[, .(100 * sum(linked) / sum(n)), keyby = month])
show("mean_airway_pressure", trend[!is.na(transport_id), .(month = months(at), Pmean)][, .(mean(Pmean, na.rm = TRUE)), keyby = month])
