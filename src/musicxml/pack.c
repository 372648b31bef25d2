#include "pack.h"

#include <stdlib.h>
#include <string.h>
#include <zip.h>

#include "evenhand/musicxml.h"

/* MusicXML 4.0, "Compressed .mxl files": the mimetype first and uncompressed, then the container,
 * then what it names. */
static const char mimetype[] = "application/vnd.recordare.musicxml";
static const char container[] = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                                "<container>\n"
                                "  <rootfiles>\n"
                                "    <rootfile full-path=\"score.musicxml\" "
                                "media-type=\"application/vnd.recordare.musicxml+xml\"/>\n"
                                "  </rootfiles>\n"
                                "</container>\n";

/* The same bytes every time: no clock. DOS dates begin in 1980 (PKWARE APPNOTE, 4.4.6). */
static const zip_uint16_t first_dos_date = 1 << 5 | 1;

static bool add(zip_t *archive, const char *name, const char *bytes, size_t length, int method) {
    zip_source_t *source = zip_source_buffer(archive, bytes, length, 0);
    if (source == NULL) {
        return false;
    }
    const zip_int64_t index = zip_file_add(archive, name, source, ZIP_FL_ENC_UTF_8);
    if (index < 0) {
        zip_source_free(source);
        return false;
    }
    return zip_set_file_compression(archive, (zip_uint64_t)index, method, 0) == 0 &&
           zip_file_set_dostime(archive, (zip_uint64_t)index, 0, first_dos_date, 0) == 0;
}

static bool add_all(zip_t *archive, const struct eh_text *xml) {
    return add(archive, "mimetype", mimetype, sizeof mimetype - 1, ZIP_CM_STORE) &&
           add(archive, "META-INF/container.xml", container, sizeof container - 1,
               ZIP_CM_DEFLATE) &&
           add(archive, "score.musicxml", xml->data, xml->length, ZIP_CM_DEFLATE);
}

static bool copy_out(zip_source_t *source, struct eh_text *out) {
    char block[16384];
    if (zip_source_open(source) != 0) {
        return false;
    }
    zip_int64_t got = 0;
    while ((got = zip_source_read(source, block, sizeof block)) > 0) {
        eh_text_add_bytes(out, block, (size_t)got);
    }
    return zip_source_close(source) == 0 && got == 0;
}

enum eh_status pack(const struct eh_text *xml, struct eh_text *out) {
    zip_error_t error;
    zip_error_init(&error);
    zip_source_t *source = zip_source_buffer_create(NULL, 0, 0, &error);
    zip_t *archive =
        source == NULL ? NULL : zip_open_from_source(source, ZIP_CREATE | ZIP_TRUNCATE, &error);
    zip_error_fini(&error);
    if (archive == NULL) {
        zip_source_free(source);
        return EH_NO_MEMORY;
    }
    zip_source_keep(source); /* it holds the bytes after the archive has been closed */
    bool done = add_all(archive, xml);
    if (done && zip_close(archive) != 0) {
        done = false;
        zip_discard(archive);
    } else if (!done) {
        zip_discard(archive);
    }
    done = done && copy_out(source, out);
    zip_source_free(source);
    return done ? eh_text_status(out) : EH_NO_MEMORY;
}

enum eh_status eh_musicxml_write_packed(const struct eh_exercise *exercise, struct eh_text *out) {
    struct eh_text xml = {0};
    enum eh_status status = eh_musicxml_write(exercise, &xml);
    if (status == EH_OK) {
        status = pack(&xml, out);
    }
    eh_text_deinit(&xml);
    return status;
}
