-- Written by hand: drizzle-kit does not know triggers. The name of a member who asked for her data to be removed may be taken out of what is otherwise never changed.
DROP TRIGGER `downloads_no_update`;
--> statement-breakpoint
CREATE TRIGGER `downloads_no_update` BEFORE UPDATE OF
  `id`, `release_id`, `revision_id`, `vehicle_id`, `person_id`, `content_hash`, `file_sha256`, `format`, `at_ms`
ON `downloads`
BEGIN
  SELECT RAISE(ABORT, 'A record of a download is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `downloads_no_new_name` BEFORE UPDATE OF `person_name` ON `downloads`
WHEN NEW.`person_name` <> 'Former member'
BEGIN
  SELECT RAISE(ABORT, 'A record of a download is never changed');
END;
--> statement-breakpoint
DROP TRIGGER `release_events_no_update`;
--> statement-breakpoint
CREATE TRIGGER `release_events_no_update` BEFORE UPDATE OF
  `id`, `release_id`, `kind`, `stage`, `at_ms`
ON `release_events`
BEGIN
  SELECT RAISE(ABORT, 'An event of a release is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `release_events_no_new_name` BEFORE UPDATE OF `by_name`, `reason` ON `release_events`
WHEN NEW.`by_name` <> 'Former member' OR NEW.`reason` <> '' OR OLD.`kind` NOT IN ('installed', 'failed')
BEGIN
  SELECT RAISE(ABORT, 'An event of a release is never changed');
END;
--> statement-breakpoint
DROP TRIGGER `control_unit_events_no_update`;
--> statement-breakpoint
CREATE TRIGGER `control_unit_events_no_update` BEFORE UPDATE OF
  `id`, `unit_id`, `at_ms`, `change`
ON `control_unit_events`
BEGIN
  SELECT RAISE(ABORT, 'An event of a control unit is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `control_unit_events_no_new_name` BEFORE UPDATE OF `by_name`, `note` ON `control_unit_events`
WHEN NEW.`by_name` <> 'Former member' OR NEW.`note` <> ''
BEGIN
  SELECT RAISE(ABORT, 'An event of a control unit is never changed');
END;
--> statement-breakpoint
DROP TRIGGER `adaptations_no_update`;
--> statement-breakpoint
CREATE TRIGGER `adaptations_no_update` BEFORE UPDATE OF
  `id`, `vehicle_id`, `revision_id`, `read_at_ms`, `document`, `created_at_ms`
ON `adaptations`
BEGIN
  SELECT RAISE(ABORT, 'What was read out of a control unit is never changed');
END;
--> statement-breakpoint
CREATE TRIGGER `adaptations_no_new_name` BEFORE UPDATE OF `by_name`, `note` ON `adaptations`
WHEN NEW.`by_name` <> 'Former member' OR NEW.`note` <> ''
BEGIN
  SELECT RAISE(ABORT, 'What was read out of a control unit is never changed');
END;
