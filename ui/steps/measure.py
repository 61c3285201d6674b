"""measure"""
import streamlit as st
from ui.strings import say
def show() -> None:
    st.subheader(say("measure_heading"))
