"""The app as it is served: its texts go out compressed, for a site office on mobile data."""

from __future__ import annotations

from pathlib import Path

import streamlit as st
from starlette.middleware import Middleware
from starlette.middleware.gzip import GZipMiddleware

LEAST_BYTES = 1000  # below, compressing saves nothing
LEVEL = 6  # a third of the time of 9 for nearly its size

app = st.App(
    Path(__file__).with_name("app.py"),
    middleware=[Middleware(GZipMiddleware, minimum_size=LEAST_BYTES, compresslevel=LEVEL)],
)
