


SELECT pg_catalog.set_config('search_path', '', false);




CREATE TABLE public.adoption (
    key text NOT NULL,
    airplane text NOT NULL,
    text text NOT NULL,
    text_before text NOT NULL,
    best_eas_mps double precision NOT NULL,
    best_eas_sd_mps double precision NOT NULL,
    best_ratio double precision NOT NULL,
    best_ratio_sd double precision NOT NULL,
    flights integer NOT NULL,
    stretches integer NOT NULL,
    reason text NOT NULL,
    code_version text NOT NULL,
    adopted_unix_s double precision NOT NULL
);



CREATE TABLE public.alembic_version (
    version_num character varying(32) NOT NULL
);



CREATE TABLE public.attempt (
    key text NOT NULL,
    debrief text NOT NULL,
    number integer NOT NULL,
    start_unix_s double precision NOT NULL,
    end_unix_s double precision NOT NULL,
    runway text NOT NULL,
    side text NOT NULL,
    outcome text NOT NULL,
    verdict text,
    in_hand_m double precision,
    in_hand_sd_m double precision,
    least_room_above_m double precision,
    touchdown_x_m double precision,
    touchdown_x_sd_m double precision,
    touchdown_y_m double precision,
    go_around_height_m double precision,
    is_timely boolean,
    headwind_mps double precision,
    crosswind_mps double precision,
    maximum_bank_rad double precision,
    minimum_cas_mps double precision
);



CREATE TABLE public.card (
    key text NOT NULL,
    plan text NOT NULL,
    sheet text NOT NULL,
    paper text NOT NULL,
    cautions text NOT NULL,
    reason text NOT NULL,
    printed_unix_s double precision NOT NULL
);



CREATE TABLE public.debrief (
    key text NOT NULL,
    recording text NOT NULL,
    exercise_text text NOT NULL,
    airplane_text text NOT NULL,
    airfield_text text NOT NULL,
    options text NOT NULL,
    document text NOT NULL,
    code_version text NOT NULL,
    made_unix_s double precision NOT NULL,
    trainee text,
    instructor text,
    lesson text,
    version integer NOT NULL
);



CREATE TABLE public.file_text (
    key text NOT NULL,
    file text NOT NULL,
    number integer NOT NULL,
    text text NOT NULL,
    kept_unix_s double precision NOT NULL
);



CREATE TABLE public.gate (
    key text NOT NULL,
    attempt text NOT NULL,
    gate text NOT NULL,
    height_m double precision NOT NULL,
    height_sd_m double precision NOT NULL,
    planned_m double precision,
    lowest_m double precision,
    highest_m double precision
);



CREATE TABLE public.instructor_file (
    key text NOT NULL,
    kind text NOT NULL,
    name text NOT NULL,
    version integer NOT NULL
);



CREATE TABLE public.lesson (
    key text NOT NULL,
    trainee text NOT NULL,
    begun_unix_s double precision NOT NULL,
    document text NOT NULL,
    instructor text,
    airplane text,
    airfield text,
    duration_s double precision,
    version integer NOT NULL
);



CREATE TABLE public.note (
    key text NOT NULL,
    debrief text NOT NULL,
    text text NOT NULL,
    written_unix_s double precision NOT NULL,
    is_private boolean NOT NULL,
    time_s double precision,
    author text,
    version integer NOT NULL
);



CREATE TABLE public.original (
    key text NOT NULL,
    data bytea NOT NULL
);



CREATE TABLE public.person (
    key text NOT NULL,
    name text NOT NULL,
    role text NOT NULL,
    added_unix_s double precision NOT NULL,
    initials text NOT NULL,
    notes text NOT NULL,
    version integer NOT NULL
);



CREATE TABLE public.plan (
    key text NOT NULL,
    exercise_text text NOT NULL,
    airplane_text text NOT NULL,
    airfield_text text NOT NULL,
    document text NOT NULL,
    code_version text NOT NULL,
    planned_unix_s double precision NOT NULL,
    trainee text
);



CREATE TABLE public.recording (
    key text NOT NULL,
    name text NOT NULL,
    format text NOT NULL,
    size_bytes integer NOT NULL,
    kept_unix_s double precision NOT NULL,
    start_unix_s double precision,
    end_unix_s double precision
);



CREATE TABLE public.set_aside (
    key text NOT NULL,
    name text NOT NULL,
    problems text NOT NULL,
    tries integer NOT NULL,
    set_aside_unix_s double precision NOT NULL,
    version integer NOT NULL
);



CREATE TABLE public.setting (
    key text NOT NULL,
    value text NOT NULL,
    version integer NOT NULL
);



CREATE TABLE public.standard_item (
    key text NOT NULL,
    attempt text NOT NULL,
    number integer NOT NULL,
    item text NOT NULL,
    quantity text NOT NULL,
    source text NOT NULL,
    limit_low double precision,
    limit_high double precision,
    value double precision,
    is_met boolean
);



CREATE TABLE public.teaching_flight (
    key text NOT NULL,
    airplane text NOT NULL,
    recording text NOT NULL,
    weight_kg double precision NOT NULL,
    configurations text NOT NULL,
    kept_unix_s double precision NOT NULL,
    air_temperature_k double precision,
    qnh_pa double precision,
    version integer NOT NULL
);



INSERT INTO public.adoption VALUES ('adoption', 'airplane', 'airplane-2', 'airplane-1', 56.1, 1.2, 9.4, 0.3, 6, 24, 'six mornings', '0.1.0', 1778760000.25);



INSERT INTO public.alembic_version VALUES ('0001');



INSERT INTO public.attempt VALUES ('attempt', 'debrief', 1, 1778760000.25, 1778760190.25, '25', 'left', 'landed', 'made it', 0.30000000000000004, 31, NULL, -12, NULL, NULL, NULL, NULL, 4, NULL, NULL, NULL);



INSERT INTO public.card VALUES ('card', 'plan', 'card', 'A5', '["gust-spread"]', 'gusts die down by ten', 1778760000.25);



INSERT INTO public.debrief VALUES ('debrief', 'e96760a87768717bcebcfd25ddc7d46b4dbc95a4b0014def080c08539f7d90d0', 'exercise-1', 'airplane-1', 'airfield-1', '{}', '{"schema": "volplane/debrief/1"}', '0.1.0', 1778760000.25, 'mara', 'tobias', 'lesson', 1);



INSERT INTO public.file_text VALUES ('airplane-1', 'airplane', 1, 'name = "Dunlin Tourer"
# Höhe nach Väterart – ß
[glide]
ratio = 9.6
', 1778760000.25);
INSERT INTO public.file_text VALUES ('airplane-2', 'airplane', 2, 'name = "Dunlin Tourer"
# Höhe nach Väterart – ß
[glide]
ratio = 9.4
', 1778846400.25);
INSERT INTO public.file_text VALUES ('airfield-1', 'airfield', 1, 'name = "Quill Meadow"
', 1778760000.25);
INSERT INTO public.file_text VALUES ('exercise-1', 'exercise', 1, 'runway = "25"
', 1778760000.25);



INSERT INTO public.gate VALUES ('gate', 'attempt', 'low key', 460, 6, 457.2, 400, 520);



INSERT INTO public.instructor_file VALUES ('airplane', 'airplane', 'dunlin_tourer.toml', 1);
INSERT INTO public.instructor_file VALUES ('airfield', 'airfield', 'quill_meadow.toml', 1);
INSERT INTO public.instructor_file VALUES ('exercise', 'exercise', 'mara''s first.toml', 1);



INSERT INTO public.lesson VALUES ('lesson', 'mara', 1778760000.25, '{"remarks": "öä"}', 'tobias', 'airplane', 'airfield', 3600, 1);



INSERT INTO public.note VALUES ('note', 'debrief', 'late turn to base', 1778760000.25, true, 71.5, 'tobias', 1);



INSERT INTO public.original VALUES ('e96760a87768717bcebcfd25ddc7d46b4dbc95a4b0014def080c08539f7d90d0', '\x000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff000102030405060708090a0b0c0d0e0f101112131415161718191a1b1c1d1e1f202122232425262728292a2b2c2d2e2f303132333435363738393a3b3c3d3e3f404142434445464748494a4b4c4d4e4f505152535455565758595a5b5c5d5e5f606162636465666768696a6b6c6d6e6f707172737475767778797a7b7c7d7e7f808182838485868788898a8b8c8d8e8f909192939495969798999a9b9c9d9e9fa0a1a2a3a4a5a6a7a8a9aaabacadaeafb0b1b2b3b4b5b6b7b8b9babbbcbdbebfc0c1c2c3c4c5c6c7c8c9cacbcccdcecfd0d1d2d3d4d5d6d7d8d9dadbdcdddedfe0e1e2e3e4e5e6e7e8e9eaebecedeeeff0f1f2f3f4f5f6f7f8f9fafbfcfdfeff');



INSERT INTO public.person VALUES ('mara', 'Mara Quist', 'trainee', 1778760000.25, 'MQ', 'looks inside too long', 1);
INSERT INTO public.person VALUES ('tobias', 'Tobias Lund', 'instructor', 1778760000.25, 'TL', '', 1);



INSERT INTO public.plan VALUES ('plan', 'exercise-1', 'airplane-1', 'airfield-1', '{"schema": "volplane/plan/1"}', '0.1.0', 1.5, 'mara');



INSERT INTO public.recording VALUES ('e96760a87768717bcebcfd25ddc7d46b4dbc95a4b0014def080c08539f7d90d0', 'phone 14-05.gpx', 'GPX', 10240, 1778760000.25, 0.1, 600.1);



INSERT INTO public.set_aside VALUES ('ffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff', 'notes.docx', '{"schema": "volplane/problems/1"}', 2, 1778760000.25, 1);



INSERT INTO public.setting VALUES ('retention_days', '730', 1);



INSERT INTO public.standard_item VALUES ('item', 'attempt', 1, 'touchdown', 'length_m', 'ours', 0, 61, -12, false);



INSERT INTO public.teaching_flight VALUES ('teaching', 'airplane', 'e96760a87768717bcebcfd25ddc7d46b4dbc95a4b0014def080c08539f7d90d0', 1519.5, '[{"configuration": "clean"}]', 1778760000.25, NULL, NULL, 1);



ALTER TABLE ONLY public.alembic_version
    ADD CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num);



ALTER TABLE ONLY public.adoption
    ADD CONSTRAINT pk_adoption PRIMARY KEY (key);



ALTER TABLE ONLY public.attempt
    ADD CONSTRAINT pk_attempt PRIMARY KEY (key);



ALTER TABLE ONLY public.card
    ADD CONSTRAINT pk_card PRIMARY KEY (key);



ALTER TABLE ONLY public.debrief
    ADD CONSTRAINT pk_debrief PRIMARY KEY (key);



ALTER TABLE ONLY public.file_text
    ADD CONSTRAINT pk_file_text PRIMARY KEY (key);



ALTER TABLE ONLY public.gate
    ADD CONSTRAINT pk_gate PRIMARY KEY (key);



ALTER TABLE ONLY public.instructor_file
    ADD CONSTRAINT pk_instructor_file PRIMARY KEY (key);



ALTER TABLE ONLY public.lesson
    ADD CONSTRAINT pk_lesson PRIMARY KEY (key);



ALTER TABLE ONLY public.note
    ADD CONSTRAINT pk_note PRIMARY KEY (key);



ALTER TABLE ONLY public.original
    ADD CONSTRAINT pk_original PRIMARY KEY (key);



ALTER TABLE ONLY public.person
    ADD CONSTRAINT pk_person PRIMARY KEY (key);



ALTER TABLE ONLY public.plan
    ADD CONSTRAINT pk_plan PRIMARY KEY (key);



ALTER TABLE ONLY public.recording
    ADD CONSTRAINT pk_recording PRIMARY KEY (key);



ALTER TABLE ONLY public.set_aside
    ADD CONSTRAINT pk_set_aside PRIMARY KEY (key);



ALTER TABLE ONLY public.setting
    ADD CONSTRAINT pk_setting PRIMARY KEY (key);



ALTER TABLE ONLY public.standard_item
    ADD CONSTRAINT pk_standard_item PRIMARY KEY (key);



ALTER TABLE ONLY public.teaching_flight
    ADD CONSTRAINT pk_teaching_flight PRIMARY KEY (key);



ALTER TABLE ONLY public.attempt
    ADD CONSTRAINT uq_attempt_debrief_number UNIQUE (debrief, number);



ALTER TABLE ONLY public.file_text
    ADD CONSTRAINT uq_file_text_file_number UNIQUE (file, number);



ALTER TABLE ONLY public.gate
    ADD CONSTRAINT uq_gate_attempt_gate UNIQUE (attempt, gate);



ALTER TABLE ONLY public.instructor_file
    ADD CONSTRAINT uq_instructor_file_kind_name UNIQUE (kind, name);



ALTER TABLE ONLY public.standard_item
    ADD CONSTRAINT uq_standard_item_attempt_number UNIQUE (attempt, number);



ALTER TABLE ONLY public.teaching_flight
    ADD CONSTRAINT uq_teaching_flight_airplane_recording UNIQUE (airplane, recording);



CREATE INDEX ix_adoption_airplane ON public.adoption USING btree (airplane);



CREATE INDEX ix_adoption_text ON public.adoption USING btree (text);



CREATE INDEX ix_adoption_text_before ON public.adoption USING btree (text_before);



CREATE INDEX ix_attempt_debrief ON public.attempt USING btree (debrief);



CREATE INDEX ix_attempt_start_unix_s ON public.attempt USING btree (start_unix_s);



CREATE INDEX ix_card_plan ON public.card USING btree (plan);



CREATE INDEX ix_debrief_airfield_text ON public.debrief USING btree (airfield_text);



CREATE INDEX ix_debrief_airplane_text ON public.debrief USING btree (airplane_text);



CREATE INDEX ix_debrief_exercise_text ON public.debrief USING btree (exercise_text);



CREATE INDEX ix_debrief_instructor ON public.debrief USING btree (instructor);



CREATE INDEX ix_debrief_lesson ON public.debrief USING btree (lesson);



CREATE INDEX ix_debrief_recording ON public.debrief USING btree (recording);



CREATE INDEX ix_debrief_trainee ON public.debrief USING btree (trainee);



CREATE INDEX ix_file_text_file ON public.file_text USING btree (file);



CREATE INDEX ix_gate_attempt ON public.gate USING btree (attempt);



CREATE INDEX ix_lesson_airfield ON public.lesson USING btree (airfield);



CREATE INDEX ix_lesson_airplane ON public.lesson USING btree (airplane);



CREATE INDEX ix_lesson_begun_unix_s ON public.lesson USING btree (begun_unix_s);



CREATE INDEX ix_lesson_instructor ON public.lesson USING btree (instructor);



CREATE INDEX ix_lesson_trainee ON public.lesson USING btree (trainee);



CREATE INDEX ix_note_author ON public.note USING btree (author);



CREATE INDEX ix_note_debrief ON public.note USING btree (debrief);



CREATE INDEX ix_plan_airfield_text ON public.plan USING btree (airfield_text);



CREATE INDEX ix_plan_airplane_text ON public.plan USING btree (airplane_text);



CREATE INDEX ix_plan_exercise_text ON public.plan USING btree (exercise_text);



CREATE INDEX ix_plan_trainee ON public.plan USING btree (trainee);



CREATE INDEX ix_standard_item_attempt ON public.standard_item USING btree (attempt);



CREATE INDEX ix_teaching_flight_airplane ON public.teaching_flight USING btree (airplane);



CREATE INDEX ix_teaching_flight_recording ON public.teaching_flight USING btree (recording);



ALTER TABLE ONLY public.adoption
    ADD CONSTRAINT fk_adoption_airplane FOREIGN KEY (airplane) REFERENCES public.instructor_file(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.adoption
    ADD CONSTRAINT fk_adoption_text FOREIGN KEY (text) REFERENCES public.file_text(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.adoption
    ADD CONSTRAINT fk_adoption_text_before FOREIGN KEY (text_before) REFERENCES public.file_text(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.attempt
    ADD CONSTRAINT fk_attempt_debrief FOREIGN KEY (debrief) REFERENCES public.debrief(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.card
    ADD CONSTRAINT fk_card_plan FOREIGN KEY (plan) REFERENCES public.plan(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.debrief
    ADD CONSTRAINT fk_debrief_airfield_text FOREIGN KEY (airfield_text) REFERENCES public.file_text(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.debrief
    ADD CONSTRAINT fk_debrief_airplane_text FOREIGN KEY (airplane_text) REFERENCES public.file_text(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.debrief
    ADD CONSTRAINT fk_debrief_exercise_text FOREIGN KEY (exercise_text) REFERENCES public.file_text(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.debrief
    ADD CONSTRAINT fk_debrief_instructor FOREIGN KEY (instructor) REFERENCES public.person(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.debrief
    ADD CONSTRAINT fk_debrief_lesson FOREIGN KEY (lesson) REFERENCES public.lesson(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.debrief
    ADD CONSTRAINT fk_debrief_recording FOREIGN KEY (recording) REFERENCES public.recording(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.debrief
    ADD CONSTRAINT fk_debrief_trainee FOREIGN KEY (trainee) REFERENCES public.person(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.file_text
    ADD CONSTRAINT fk_file_text_file FOREIGN KEY (file) REFERENCES public.instructor_file(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.gate
    ADD CONSTRAINT fk_gate_attempt FOREIGN KEY (attempt) REFERENCES public.attempt(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.lesson
    ADD CONSTRAINT fk_lesson_airfield FOREIGN KEY (airfield) REFERENCES public.instructor_file(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.lesson
    ADD CONSTRAINT fk_lesson_airplane FOREIGN KEY (airplane) REFERENCES public.instructor_file(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.lesson
    ADD CONSTRAINT fk_lesson_instructor FOREIGN KEY (instructor) REFERENCES public.person(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.lesson
    ADD CONSTRAINT fk_lesson_trainee FOREIGN KEY (trainee) REFERENCES public.person(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.note
    ADD CONSTRAINT fk_note_author FOREIGN KEY (author) REFERENCES public.person(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.note
    ADD CONSTRAINT fk_note_debrief FOREIGN KEY (debrief) REFERENCES public.debrief(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.original
    ADD CONSTRAINT fk_original_key FOREIGN KEY (key) REFERENCES public.recording(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.plan
    ADD CONSTRAINT fk_plan_airfield_text FOREIGN KEY (airfield_text) REFERENCES public.file_text(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.plan
    ADD CONSTRAINT fk_plan_airplane_text FOREIGN KEY (airplane_text) REFERENCES public.file_text(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.plan
    ADD CONSTRAINT fk_plan_exercise_text FOREIGN KEY (exercise_text) REFERENCES public.file_text(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.plan
    ADD CONSTRAINT fk_plan_trainee FOREIGN KEY (trainee) REFERENCES public.person(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.standard_item
    ADD CONSTRAINT fk_standard_item_attempt FOREIGN KEY (attempt) REFERENCES public.attempt(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.teaching_flight
    ADD CONSTRAINT fk_teaching_flight_airplane FOREIGN KEY (airplane) REFERENCES public.instructor_file(key) DEFERRABLE INITIALLY DEFERRED;



ALTER TABLE ONLY public.teaching_flight
    ADD CONSTRAINT fk_teaching_flight_recording FOREIGN KEY (recording) REFERENCES public.recording(key) DEFERRABLE INITIALLY DEFERRED;




