-- Written by hand: drizzle-kit does not know triggers. A list or profile that logs were read or judged by stays as it is.
CREATE TRIGGER `bus_signal_lists_no_update` BEFORE UPDATE ON `bus_signal_lists`
BEGIN
  SELECT RAISE(ABORT, 'A bus signal list is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `bus_signal_lists_no_delete` BEFORE DELETE ON `bus_signal_lists`
BEGIN
  SELECT RAISE(ABORT, 'A bus signal list is never removed');
END;
--> statement-breakpoint
CREATE TRIGGER `dialect_profiles_no_update` BEFORE UPDATE ON `dialect_profiles`
BEGIN
  SELECT RAISE(ABORT, 'A dialect profile is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `dialect_profiles_no_delete` BEFORE DELETE ON `dialect_profiles`
BEGIN
  SELECT RAISE(ABORT, 'A dialect profile is never removed');
END;
