-- Written by hand: drizzle-kit does not know triggers. What was asked of cars, and how a request ended, stays.
CREATE TRIGGER `drive_requests_no_update_of_what_was_asked` BEFORE UPDATE OF
  `id`, `platform_id`, `revision_id`, `kind`, `load_band`, `fluid_temperature_band`, `program`, `wanted_shifts`,
  `wanted_vehicles`, `words`, `reason`, `created_by_id`, `created_by_name`, `created_at_ms`, `expires_at_ms`
ON `drive_requests`
BEGIN
  SELECT RAISE(ABORT, 'What was asked of cars is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `drive_requests_no_update_once_closed` BEFORE UPDATE ON `drive_requests` WHEN OLD.`state` <> 'open'
BEGIN
  SELECT RAISE(ABORT, 'A closed request is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `drive_requests_no_delete` BEFORE DELETE ON `drive_requests`
BEGIN
  SELECT RAISE(ABORT, 'A request is never removed');
END;
--> statement-breakpoint
CREATE TRIGGER `request_cars_no_delete` BEFORE DELETE ON `request_cars`
BEGIN
  SELECT RAISE(ABORT, 'Who was asked stays');
END;
