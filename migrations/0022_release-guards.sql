-- Written by hand: drizzle-kit does not know triggers. What was released, looked at, downloaded and told of stays as it was.
CREATE TRIGGER `release_events_no_update` BEFORE UPDATE ON `release_events`
BEGIN
  SELECT RAISE(ABORT, 'An event of a release is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `release_events_no_delete` BEFORE DELETE ON `release_events`
BEGIN
  SELECT RAISE(ABORT, 'An event of a release is never removed');
END;
--> statement-breakpoint
CREATE TRIGGER `release_looks_no_update` BEFORE UPDATE ON `release_looks`
BEGIN
  SELECT RAISE(ABORT, 'A look of the monitor is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `release_looks_no_delete` BEFORE DELETE ON `release_looks`
BEGIN
  SELECT RAISE(ABORT, 'A look of the monitor is never removed');
END;
--> statement-breakpoint
CREATE TRIGGER `downloads_no_update` BEFORE UPDATE ON `downloads`
BEGIN
  SELECT RAISE(ABORT, 'A record of a download is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `downloads_no_delete` BEFORE DELETE ON `downloads`
BEGIN
  SELECT RAISE(ABORT, 'A record of a download is never removed');
END;
--> statement-breakpoint
CREATE TRIGGER `control_unit_events_no_update` BEFORE UPDATE ON `control_unit_events`
BEGIN
  SELECT RAISE(ABORT, 'An event of a control unit is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `control_unit_events_no_delete` BEFORE DELETE ON `control_unit_events`
BEGIN
  SELECT RAISE(ABORT, 'An event of a control unit is never removed');
END;
--> statement-breakpoint
CREATE TRIGGER `unit_recalls_no_update` BEFORE UPDATE ON `unit_recalls`
BEGIN
  SELECT RAISE(ABORT, 'A recall of control units is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `unit_recalls_no_delete` BEFORE DELETE ON `unit_recalls`
BEGIN
  SELECT RAISE(ABORT, 'A recall of control units is never removed');
END;
--> statement-breakpoint
CREATE TRIGGER `releases_no_update_of_what_is_released` BEFORE UPDATE OF
  `id`, `platform_id`, `revision_id`, `content_hash`, `replaces_id`, `words`, `cohort`, `stages`, `harm_limit`,
  `created_by_name`, `created_at_ms`
ON `releases`
BEGIN
  SELECT RAISE(ABORT, 'What is released is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `releases_no_update_once_recalled` BEFORE UPDATE ON `releases` WHEN OLD.`state` = 'recalled'
BEGIN
  SELECT RAISE(ABORT, 'A recalled release is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `releases_no_delete` BEFORE DELETE ON `releases`
BEGIN
  SELECT RAISE(ABORT, 'A release is never removed');
END;
--> statement-breakpoint
CREATE TRIGGER `release_cars_no_delete` BEFORE DELETE ON `release_cars`
BEGIN
  SELECT RAISE(ABORT, 'Who was taken in stays');
END;
