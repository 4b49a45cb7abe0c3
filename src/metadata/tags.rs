//! Numbers of the tags that are read, by the names of the Exif, TIFF/EP and DNG specifications.

/// Exif 2.2 (JEITA CP-3451) section 4.6; A431 to A434 and 9010 to 9012 since 2.3 and 2.31; C62F and C630 are DNG's;
/// 4746 is in none and written by many (common practice, no source).
macro_rules! tags {
    ($( $name:ident $words:literal $number:literal )+) => {
        $( pub(super) const $name: u16 = $number; )+
        /// Every tag that is read.
        pub(super) const USED: &[u16] = &[ $( $name ),+ ];
        /// The name of a tag, for words to the photographer.
        pub(super) fn name(tag: u16) -> &'static str {
            match tag {
                $( $name => $words, )+
                _ => "?",
            }
        }
    };
}

tags! {
    MAKE "Make" 0x010F
    MODEL "Model" 0x0110
    ORIENTATION "Orientation" 0x0112
    DATE_TIME "DateTime" 0x0132
    EXPOSURE_TIME "ExposureTime" 0x829A
    F_NUMBER "FNumber" 0x829D
    EXPOSURE_PROGRAM "ExposureProgram" 0x8822
    PHOTOGRAPHIC_SENSITIVITY "PhotographicSensitivity" 0x8827
    SENSITIVITY_TYPE "SensitivityType" 0x8830
    STANDARD_OUTPUT_SENSITIVITY "StandardOutputSensitivity" 0x8831
    RECOMMENDED_EXPOSURE_INDEX "RecommendedExposureIndex" 0x8832
    ISO_SPEED "ISOSpeed" 0x8833
    DATE_TIME_ORIGINAL "DateTimeOriginal" 0x9003
    DATE_TIME_DIGITIZED "DateTimeDigitized" 0x9004
    OFFSET_TIME "OffsetTime" 0x9010
    OFFSET_TIME_ORIGINAL "OffsetTimeOriginal" 0x9011
    OFFSET_TIME_DIGITIZED "OffsetTimeDigitized" 0x9012
    SHUTTER_SPEED_VALUE "ShutterSpeedValue" 0x9201
    APERTURE_VALUE "ApertureValue" 0x9202
    EXPOSURE_BIAS_VALUE "ExposureBiasValue" 0x9204
    FOCAL_LENGTH "FocalLength" 0x920A
    SUB_SEC_TIME_ORIGINAL "SubSecTimeOriginal" 0x9291
    SUB_SEC_TIME_DIGITIZED "SubSecTimeDigitized" 0x9292
    EXPOSURE_MODE "ExposureMode" 0xA402
    WHITE_BALANCE "WhiteBalance" 0xA403
    BODY_SERIAL_NUMBER "BodySerialNumber" 0xA431
    LENS_SPECIFICATION "LensSpecification" 0xA432
    LENS_MODEL "LensModel" 0xA434
    CAMERA_SERIAL_NUMBER "CameraSerialNumber" 0xC62F
    LENS_INFO "LensInfo" 0xC630
    RATING "Rating" 0x4746
}
