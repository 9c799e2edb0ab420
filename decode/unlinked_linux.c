// Functions of FFmpeg's filters, devices and scaling, which the binding names and nothing here calls. As they are
// defined here and libraries are linked as needed (native.go), the program does without those libraries and the 80
// that they bring: half of the time that it takes to start, and its worker processes as well.
#include <stdio.h>
#include <stdlib.h>

static void end(const char *name) {
	fprintf(stderr, "%s of FFmpeg is not linked: take it off decode/unlinked_linux.c\n", name);
	abort();
}

#define UNLINKED(name) void name(void) { end(#name); }

UNLINKED(av_buffersink_get_frame_flags)
UNLINKED(av_buffersrc_add_frame_flags)
UNLINKED(avdevice_register_all)
UNLINKED(avfilter_free)
UNLINKED(avfilter_get_by_name)
UNLINKED(avfilter_graph_alloc)
UNLINKED(avfilter_graph_config)
UNLINKED(avfilter_graph_create_filter)
UNLINKED(avfilter_graph_dump)
UNLINKED(avfilter_graph_free)
UNLINKED(avfilter_graph_parse_ptr)
UNLINKED(avfilter_graph_send_command)
UNLINKED(avfilter_inout_alloc)
UNLINKED(avfilter_inout_free)
UNLINKED(sws_freeContext)
UNLINKED(sws_getCachedContext)
UNLINKED(sws_getContext)
UNLINKED(sws_scale_frame)
