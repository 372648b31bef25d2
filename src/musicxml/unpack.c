/* Reading an .mxl file: the table of contents names the score. Whatever the archive claims about
 * sizes is checked while it is unpacked. */
#include <string.h>
#include <zip.h>

#include "evenhand/musicxml.h"
#include "pack.h"
#include "xml_tree.h"

static const char container_name[] = "META-INF/container.xml";

enum { CONTAINER_MAX = 64 * 1024 };

static enum eh_status damaged(struct eh_error *error, const char *text) {
    return eh_fail(error, EH_DAMAGED, "%s", text);
}

static enum eh_status translate(struct eh_error *error, int code) {
    switch (code) {
    case ZIP_ER_MEMORY:
        return eh_fail(error, EH_NO_MEMORY, "not enough memory to unpack it");
    case ZIP_ER_NOPASSWD:
    case ZIP_ER_WRONGPASSWD:
        return eh_fail(error, EH_NO_ACCESS,
                       "expected an archive that anybody may read, found an encrypted one");
    default:
        return damaged(error, "expected a whole .mxl archive, found a damaged or shortened one; "
                              "export it again");
    }
}

static bool grows_too_much(size_t unpacked, zip_uint64_t packed) {
    return unpacked > EH_MUSICXML_RATIO_FREE_BYTES &&
           unpacked / EH_MUSICXML_RATIO_MAX > (packed > 0 ? packed : 1);
}

static enum eh_status read_blocks(zip_file_t *file, zip_uint64_t packed, size_t most,
                                  struct eh_text *out, struct eh_error *error) {
    char block[32768];
    zip_int64_t got = 0;
    const size_t before = out->length;
    while ((got = zip_fread(file, block, sizeof block)) > 0) {
        eh_text_add_bytes(out, block, (size_t)got);
        const size_t unpacked = out->length - before;
        if (unpacked > most) {
            return eh_fail(error, EH_TOO_LARGE, "expected at most %zu bytes in it, found more",
                           most);
        }
        if (grows_too_much(unpacked, packed)) {
            return eh_fail(error, EH_TOO_LARGE,
                           "expected an archive that grows at most %d-fold when unpacked, found "
                           "one that grows more: that is no music",
                           EH_MUSICXML_RATIO_MAX);
        }
        if (out->failed) {
            return eh_fail(error, EH_NO_MEMORY, "not enough memory to unpack it");
        }
    }
    return got == 0 ? EH_OK : translate(error, zip_error_code_zip(zip_file_get_error(file)));
}

/* An absent entry is damage; WHAT says which one was expected. */
static enum eh_status read_entry(zip_t *archive, const char *name, size_t most, const char *what,
                                 struct eh_text *out, struct eh_error *error) {
    const zip_int64_t index = zip_name_locate(archive, name, ZIP_FL_ENC_GUESS);
    zip_stat_t stat;
    zip_stat_init(&stat);
    if (index < 0 || zip_stat_index(archive, (zip_uint64_t)index, 0, &stat) != 0) {
        return eh_fail(error, EH_DAMAGED, "expected %s in the archive, found none (%.80s)", what,
                       name);
    }
    zip_file_t *file = zip_fopen_index(archive, (zip_uint64_t)index, 0);
    if (file == NULL) {
        return translate(error, zip_error_code_zip(zip_get_error(archive)));
    }
    const zip_uint64_t packed = (stat.valid & ZIP_STAT_COMP_SIZE) != 0 ? stat.comp_size : 0;
    const enum eh_status status = read_blocks(file, packed, most, out, error);
    const int closed = zip_fclose(file);
    return status == EH_OK && closed != 0 ? translate(error, closed) : status;
}

/* MusicXML 4.0: the first rootfile is the score; a media type says so, and may be left out. */
static bool is_score(const struct xml_element *rootfile) {
    char type[XML_TEXT];
    xml_value(rootfile, "media-type", type);
    return type[0] == '\0' || strcmp(type, "application/vnd.recordare.musicxml+xml") == 0 ||
           strcmp(type, "application/vnd.recordare.musicxml") == 0 ||
           strcmp(type, "text/xml") == 0 || strcmp(type, "application/xml") == 0;
}

static enum eh_status find_rootfile(const struct xml_document *document, char path[XML_TEXT],
                                    struct eh_error *error) {
    const struct xml_element *root = xml_root(document);
    const struct xml_element *files =
        xml_is(root, "container") ? xml_child(root, "rootfiles") : NULL;
    for (const struct xml_element *at = xml_child(files, "rootfile"); at != NULL;
         at = xml_again(at)) {
        if (is_score(at) && xml_value(at, "full-path", path)[0] != '\0') {
            return EH_OK;
        }
    }
    return damaged(error, "expected META-INF/container.xml to name a score (rootfile with "
                          "full-path), found none");
}

static enum eh_status find_score(zip_t *archive, char path[XML_TEXT], struct eh_error *error) {
    struct eh_text table = {0};
    struct xml_document *document = NULL;
    enum eh_status status =
        read_entry(archive, container_name, CONTAINER_MAX, "a table of contents", &table, error);
    if (status == EH_OK) {
        status = xml_read(&document, eh_text_string(&table), table.length, error);
        if (status == EH_BAD_SYNTAX) {
            status =
                damaged(error, "expected META-INF/container.xml to be XML, found a mistake in it");
        }
    }
    if (error != NULL) { /* a line of the table is no line of the score */
        error->line = 0;
        error->column = 0;
    }
    if (status == EH_OK) {
        status = find_rootfile(document, path, error);
    }
    xml_free(document);
    eh_text_deinit(&table);
    return status;
}

static enum eh_status read_archive(zip_t *archive, struct eh_text *out, struct eh_error *error) {
    char path[XML_TEXT];
    if (zip_get_num_entries(archive, 0) > EH_MUSICXML_ENTRIES_MAX) {
        return eh_fail(error, EH_TOO_LARGE, "expected at most %d files in the archive, found %lld",
                       EH_MUSICXML_ENTRIES_MAX, (long long)zip_get_num_entries(archive, 0));
    }
    const enum eh_status status = find_score(archive, path, error);
    return status != EH_OK ? status
                           : read_entry(archive, path, EH_MUSICXML_BYTES_MAX,
                                        "the score that META-INF/container.xml names", out, error);
}

enum eh_status unpack(struct eh_text *out, const void *bytes, size_t length,
                      struct eh_error *error) {
    if (length > EH_MUSICXML_PACKED_MAX) {
        return eh_fail(error, EH_TOO_LARGE, "expected at most %d bytes in an .mxl file, found %zu",
                       EH_MUSICXML_PACKED_MAX, length);
    }
    zip_error_t trouble;
    zip_error_init(&trouble);
    zip_source_t *source = zip_source_buffer_create(bytes, length, 0, &trouble);
    zip_t *archive = source == NULL ? NULL : zip_open_from_source(source, ZIP_RDONLY, &trouble);
    const int code = zip_error_code_zip(&trouble);
    zip_error_fini(&trouble);
    if (archive == NULL) {
        zip_source_free(source);
        return translate(error, code);
    }
    const enum eh_status status = read_archive(archive, out, error);
    zip_discard(archive);
    return status;
}
